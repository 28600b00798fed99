"""Having the compiled search ready before it is needed."""

import threading

from solver.contract.points import Points
from solver.contract.workload import Workload
from solver.search.kernel import DISPATCH, run
from solver.search.state import State

_lock = threading.Lock()
_warm = threading.Event()


def warm_up() -> None:
    """Compile the search, or load it from numba's cache on disk; at once when that is done."""
    with _lock:
        if not _warm.is_set():
            state = State(Workload(), Points(), 0)
            run(DISPATCH, state.cells, state.of, 0, 1.0, 1.0)
            _warm.set()


def is_warm() -> bool:
    """Whether `improve` would begin at once."""
    return _warm.is_set()
