"""Having the compiled parts ready before they are needed.

One process compiles and the others wait for what it leaves in numba's cache on disk: two that compile
at once would take twice the computing for the same machine code. Nothing is compiled or loaded while CP-SAT solves
in the same process: LLVM and CP-SAT at once end it with a segmentation fault.
"""

import atexit
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import IO, Any

from solver.contract.points import Points
from solver.contract.workload import Job, Machine, Stringer, Workload

_LOCK_FILE = "warming.lock"


class _Gate:
    """Lets in any number of solves, or one loading."""

    def __init__(self) -> None:
        self._changed, self._solves, self._is_loading = threading.Condition(), 0, False

    @contextmanager
    def solving(self) -> Iterator[None]:
        with self._changed:
            self._changed.wait_for(lambda: not self._is_loading)
            self._solves += 1
        try:
            yield
        finally:
            with self._changed:
                self._solves -= 1
                self._changed.notify_all()

    @contextmanager
    def loading(self) -> Iterator[None]:
        with self._changed:
            self._changed.wait_for(lambda: not self._is_loading)
            self._is_loading = True
            self._changed.wait_for(lambda: self._solves == 0)
        try:
            yield
        finally:
            with self._changed:
                self._is_loading = False
                self._changed.notify_all()


_GATE = _Gate()


def solving() -> AbstractContextManager[None]:
    """Hold back the loading of compiled parts while CP-SAT solves in this process."""
    return _GATE.solving()


class _Part:
    """Something compiled: made ready once in this process."""

    def __init__(self, make: Callable[[], None], command: str) -> None:
        self._make, self._command, self._lock = make, command, threading.Lock()
        self._child: subprocess.Popen[bytes] | None = None
        self.is_ready = False

    def make_ready(self) -> None:
        """Return when it is ready; at once where it is so."""
        with self._lock:
            if not self.is_ready:
                with _GATE.loading():
                    self._make()
                self.is_ready = True

    def begin(self) -> None:
        """Let a process of its own compile it into the cache."""
        if self._child is None and not self.is_ready:
            nothing = subprocess.DEVNULL
            self._child = subprocess.Popen(
                [sys.executable, "-c", self._command], stdin=nothing, stdout=nothing, stderr=nothing
            )
            atexit.register(self._child.terminate)

    @property
    def is_near(self) -> bool:
        """Whether it is ready, or as near as it comes without this process."""
        return self.is_ready or (self._child is not None and self._child.poll() is not None)


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


_COMMAND = "from solver.warming import warm_up; warm_up(bound={})"
_search, _bound = _Part(_make_search, _COMMAND.format(False)), _Part(_make_bound, _COMMAND.format(True))


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
    """Compile in a process of its own, if nothing is in the cache yet; the caller goes on."""
    (_bound if bound else _search).begin()


def is_warm(*, bound: bool = False) -> bool:
    """Whether the search, or the bound, is ready or takes but a second to load."""
    return (_bound if bound else _search).is_near


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
