"""What slows a guesser of passwords without locking out whoever knows theirs.

Tries under names that nobody has are counted as those of an account are, so that a wait tells nothing. Few tries are
under way at once, so that most threads and most places to write are left to the desk. A browser on which somebody
signed in before, and an address from which nobody tried wrongly of late, have places of their own. Each kind has one
hash computed at a time; those of strangers yield the core to whoever is served.
"""

from __future__ import annotations

import os
import sys
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from datetime import datetime, timedelta
from ipaddress import ip_address, ip_network
from typing import Literal

from desk.errors import Busy, NotAllowed

FREE_TRIES = 5
LONGEST_WAIT = timedelta(minutes=1)
KEPT = 5_000
MANY = "Many are signing in at this moment, and this try was not looked at. Go back and send it again."
Who = Literal["known", "fresh", "stranger"]
"""A browser on which somebody signed in before, an address without wrong tries of late, and everybody else."""
AT_ONCE: dict[Who, int] = {"known": 2, "fresh": 2, "stranger": 3}
WRONG_OF_LATE = 600.0
"""For how many seconds an address is no longer fresh after a wrong try."""
NICER_BY = 5
_places = {who: threading.BoundedSemaphore(many) for who, many in AT_ONCE.items()}


def _yield_the_core() -> None:
    """Lower the priority of this thread where the system has one for each thread."""
    if sys.platform == "linux":  # where a process of number 0 is the thread that asks
        with suppress(OSError):
            os.setpriority(os.PRIO_PROCESS, 0, os.getpriority(os.PRIO_PROCESS, 0) + NICER_BY)


_hashing = ThreadPoolExecutor(1, "hash")
_hashing_for_strangers = ThreadPoolExecutor(1, "hash for strangers", _yield_the_core)


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


class WrongAddresses:
    """From which networks somebody tried wrongly of late, the newest few thousand, in this process only."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._last: OrderedDict[str, float] = OrderedDict()

    def note(self, address: str) -> None:
        network = _network(address)
        with self._lock:
            self._last.pop(network, None)
            self._last[network] = time.monotonic()
            while len(self._last) > KEPT:
                self._last.popitem(last=False)

    def is_fresh(self, address: str) -> bool:
        last = self._last.get(_network(address))
        return last is None or time.monotonic() - last > WRONG_OF_LATE


def _network(address: str) -> str:
    """Return what one subscriber holds: an IPv4 address, or the 64 bits before the free half of an IPv6 one."""
    with suppress(ValueError):
        if ip_address(address).version == 6:
            return str(ip_network(f"{address}/64", strict=False))
    return address


wrong_addresses = WrongAddresses()


@contextmanager
def place_to_try(who: Who) -> Iterator[None]:
    """Give one of few places for a whole try to sign in; refused where all of that kind are taken."""
    if not _places[who].acquire(blocking=False):
        raise Busy(MANY)
    try:
        yield
    finally:
        _places[who].release()


def in_turn(hashed: Callable[[], bool], who: Who) -> bool:
    """Compute one hash at a time: it takes a core and much memory."""
    return (_hashing_for_strangers if who == "stranger" else _hashing).submit(hashed).result()
