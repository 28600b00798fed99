"""What is worth a word to whoever asked for it, when it may go out, and how often it is tried.

A changed time counts from the margins that screens use (`trade/bench/promise`). The pauses are our own.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from desk.trade.bench.promise import SOONER_BY, STEP

QUIET_FOR = timedelta(minutes=2)
"""A word waits so long for others that go with it, counted from the newest."""
LONGEST_WAIT = timedelta(minutes=6)
LATE_AFTER = STEP
PAUSES = tuple(timedelta(minutes=minutes) for minutes in (1, 2, 5, 15, 30))
"""Between one try and the next; after the last of them it has failed."""


def changed(known_at: datetime, ready_at: datetime) -> str:
    """Return whether a ready time other than the one that is known is worth telling: later, sooner, or empty."""
    if ready_at - known_at >= STEP:
        return "later"
    return "sooner" if known_at - ready_at >= SOONER_BY else ""


def goes_at(noted_at: Sequence[datetime]) -> datetime:
    """Return when words that were noted at these times go out together."""
    return min(max(noted_at) + QUIET_FOR, min(noted_at) + LONGEST_WAIT)


def may_go(local: datetime, from_hour: int, until_hour: int) -> bool:
    """Tell whether it is no night: FROM_HOUR to before UNTIL_HOUR on the event's wall clock (24: midnight)."""
    return from_hour <= local.hour < until_hour


def next_try(tries: int, now: datetime, asked: timedelta | None = None) -> datetime | None:
    """Return when a message that was tried TRIES times is tried again, after what the other side ASKED; or never."""
    if tries > len(PAUSES):
        return None
    return now + max(PAUSES[tries - 1], min(asked or timedelta(0), PAUSES[-1]))
