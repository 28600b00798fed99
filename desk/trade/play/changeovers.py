"""When the players of a match next change ends, by the clock.

Two games take some nine to ten minutes of play (common practice), and every second game ends with a
rest at the chairs. Nobody tells the desk the score, so this is an estimate and says so.
"""

from __future__ import annotations

from datetime import datetime, timedelta

BETWEEN = timedelta(minutes=9, seconds=30)


def next_changeover(started_at: datetime, paused: timedelta, at: datetime) -> datetime:
    """Return the first changeover after AT in a match begun at STARTED_AT and interrupted for PAUSED."""
    begun = started_at + paused
    passed = max(timedelta(0), at - begun) // BETWEEN
    return begun + (passed + 1) * BETWEEN
