"""What slows a guesser of passwords without locking out whoever knows theirs.

Tries under names that nobody has are counted as those of an account are, so that a wait tells nothing; a browser on
which somebody signed in before is counted apart from strangers; few tries are under way at once, so that most threads
and most places to write are left to the desk; and one hash is computed at a time.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta

from desk.errors import Busy, NotAllowed

FREE_TRIES = 5
LONGEST_WAIT = timedelta(minutes=1)
KEPT = 5_000
MANY = "Many are signing in at this moment. Try again."
STRANGERS_AT_ONCE = 3
KNOWN_AT_ONCE = 2
_strangers = threading.BoundedSemaphore(STRANGERS_AT_ONCE)
_known = threading.BoundedSemaphore(KNOWN_AT_ONCE)
_hashing = threading.Lock()


def wait_after(wrong_tries: int) -> timedelta:
    """Return how long the next try must wait: not at all up to five, then 5 s, doubled up to a minute."""
    if wrong_tries < FREE_TRIES:
        return timedelta(0)
    return min(timedelta(seconds=5 * 2 ** min(wrong_tries - FREE_TRIES, 10)), LONGEST_WAIT)


def refuse_too_early(wrong_tries: int, last_at: datetime | None, now: datetime) -> None:
    """Refuse a try before its wait is over; a clock that was set back lengthens no wait."""
    if last_at is None:
        return
    left = min(last_at, now) + wait_after(wrong_tries) - now
    if left > timedelta(0):
        seconds = int(left.total_seconds()) + 1
        raise NotAllowed(f"Too many wrong tries. Wait {seconds} seconds, then try again, or ask the desk lead.")


class TryCounts:
    """Wrong tries by what they are counted for, the newest few thousand, in this process only."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._counts: OrderedDict[str, tuple[int, datetime]] = OrderedDict()

    def count(self, key: str, now: datetime) -> None:
        """Count a try, or refuse it while earlier ones must be waited for."""
        with self._lock:
            tries, last_at = self._counts.pop(key, (0, None))
            try:
                refuse_too_early(tries, last_at, now)
            except NotAllowed:
                self._counts[key] = (tries, min(last_at or now, now))
                raise
            self._counts[key] = (tries + 1, now)
            while len(self._counts) > KEPT:
                self._counts.popitem(last=False)

    def clear(self, key: str) -> None:
        with self._lock:
            self._counts.pop(key, None)


@contextmanager
def place_to_try(*, is_known: bool) -> Iterator[None]:
    """Give one of few places for a whole try to sign in; refused where all are taken.

    Browsers that are known have places of their own, which no stranger takes from them.
    """
    places = _known if is_known else _strangers
    if not places.acquire(blocking=False):
        raise Busy(MANY)
    try:
        yield
    finally:
        places.release()


@contextmanager
def turn_to_hash() -> Iterator[None]:
    """Let one hash be computed at a time: it takes a core and much memory."""
    with _hashing:
        yield
