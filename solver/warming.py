"""Having the compiled parts ready before they are needed.

One process compiles and the others wait for what it leaves in numba's cache on disk: two that compile
at once would take twice the computing for the same machine code.
"""

import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import IO, Any

from solver.contract.points import Points
from solver.contract.workload import Job, Machine, Stringer, Workload

_LOCK_FILE = "warming.lock"


class _Part:
    """Something compiled: made ready once in this process."""

    def __init__(self, make: Callable[[], None]) -> None:
        self._make, self._lock = make, threading.Lock()
        self.is_ready = False
        self.thread: threading.Thread | None = None

    def make_ready(self) -> None:
        """Return when it is ready; at once where it is so."""
        with self._lock:
            if not self.is_ready:
                self._make()
                self.is_ready = True

    def begin(self) -> None:
        """Make it ready on a thread of its own."""
        if self.thread is None and not self.is_ready:
            self.thread = threading.Thread(target=self.make_ready, name="warming up", daemon=True)
            self.thread.start()


def _make_search() -> None:
    from solver.search.kernels.kernel import run_anneal, run_build
    from solver.search.state import State

    with alone(run_build):
        record = State(Workload(), Points(), 0).record
        run_build(record, True)
        run_anneal(record, 0, 1.0, 1.0, False)


def _make_bound() -> None:
    from solver.bound.ascent import lower_bound
    from solver.bound.kernel import run

    jobs = (Job(id="1", player="1", minutes=1), Job(id="2", player="1", minutes=1))
    workload = Workload(stringers=(Stringer(id="1", windows=((0, 2),)),), machines=(Machine(id="1"),), jobs=jobs)
    with alone(run):
        lower_bound(workload, Points(), target=1 << 40, rounds=2)


_search, _bound = _Part(_make_search), _Part(_make_bound)


def warm_up(*, bound: bool = False) -> None:
    """Compile the search, or load it from the cache on disk; at once when that is done.

    The first time on a machine takes half a minute, on a busy one a few minutes, from the cache about a second.

    Parameters
    ----------
    bound : bool
        Whether the bound is to be ready too, which takes as long again.
    """
    _search.make_ready()
    if bound:
        _bound.make_ready()


def begin_warming(*, bound: bool = False) -> None:
    """Warm up on a thread of its own; the caller goes on."""
    (_bound if bound else _search).begin()


def is_warm(*, bound: bool = False) -> bool:
    """Whether the search, or the bound, would begin at once."""
    return (_bound if bound else _search).is_ready


def alone(entry: Any) -> AbstractContextManager[None]:
    """Let one process at a time compile this ENTRY, or load what another left in numba's cache."""
    return only_one_process(Path(entry.stats.cache_path))


@contextmanager
def only_one_process(folder: Path) -> Iterator[None]:
    """Hold a lock beside the cache; the system releases it when a process ends, however it ends."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        file = (folder / _LOCK_FILE).open("a+b")
    except OSError:  # nowhere to write: nothing will be cached, so that there is nothing to wait for
        yield
        return
    with file:
        _wait_for(file)
        yield


def _wait_for(file: IO[bytes]) -> None:
    try:
        import fcntl
    except ImportError:
        _wait_on_windows(file)
    else:
        fcntl.flock(file, fcntl.LOCK_EX)


def _wait_on_windows(file: IO[bytes]) -> None:
    import msvcrt

    while True:
        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_LOCK, 1)  # type: ignore[attr-defined,unused-ignore]
            return
        except OSError:  # after ten tries, a second apart
            continue
