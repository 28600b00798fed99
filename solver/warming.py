"""Having the compiled parts ready before they are needed."""

import threading

_lock = threading.Lock()
_warm = threading.Event()
_began = threading.Event()


def warm_up() -> None:
    """Compile search and bound, or load them from the cache on disk; at once when that is done.

    The first time on a machine takes some tens of seconds, from the cache a second or two.
    """
    from solver.bound import warm_up as warm_up_bound
    from solver.search import warm_up as warm_up_search

    with _lock:
        if not _warm.is_set():
            warm_up_search()
            warm_up_bound()
            _warm.set()


def begin_warming() -> None:
    """Warm up on a thread of its own; the caller goes on."""
    if not _began.is_set():
        _began.set()
        threading.Thread(target=warm_up, name="warming up", daemon=True).start()


def is_warm() -> bool:
    """Whether search and bound would begin at once."""
    return _warm.is_set()
