"""What a minute late costs, and whether a racquet is in time, tight or late.

A match's racquets are needed by the time before which play starts with a small chance (5 %), less a lead (30
minutes): past it they are tight. Past the latest, when the player may truly be called (the same point less the
time to walk on), they are late. Published experience: of the matches that follow another, 1 to 3 % still start
before the 5 % point less 30 minutes (Tennis Abstract, see match_figures).
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Literal

WEIGHT_IN_PLAY = 20
WEIGHTS_OF_A_BAG = (10, 5, 3)
WEIGHT_PRACTICE = 1
"""What a minute late costs, in units of a practice racquet's: one in time is worth more than the third."""

FIRST, LATER = "first", "later"
"""Of a player's racquets for one match: the one that matters most; one that is not needed for the start."""

A_LITTLE_MIN = 10
"""A promise missed by less is no matter for the lead: the player is told at the counter."""

AS_FRESH_HOURS = 4
"""A wish for strings "as fresh as possible" is so many hours before they are needed (common practice: a few)."""

Standing = Literal["", "tight", "late"]
MINUTE = timedelta(minutes=1)


def bag_weight(before: int) -> int:
    """The weight of a racquet for a match when the player would have BEFORE others for it."""
    return WEIGHTS_OF_A_BAG[min(before, len(WEIGHTS_OF_A_BAG) - 1)]


def urgency(weight: int) -> int:
    """2 from a match in play, 1 for a match to come, 0 for practice: a place in the bag makes no difference."""
    return (weight >= WEIGHTS_OF_A_BAG[-1]) + (weight >= WEIGHT_IN_PLAY)


def minutes_past(ready_at: datetime, wanted_at: datetime | None) -> int:
    """Whole minutes that READY_AT lies past WANTED_AT; 0 when it does not, or nothing was wanted."""
    return 0 if wanted_at is None else max(0, (ready_at - wanted_at) // MINUTE)


def late_from(needed_by_at: datetime | None, latest_at: datetime | None) -> datetime | None:
    """When a racquet begins to be late: the latest, where that is after needed by; None without a time."""
    if needed_by_at is None or latest_at is None:
        return needed_by_at
    return max(needed_by_at, latest_at)


def minutes_late(ready_at: datetime, needed_by_at: datetime | None, latest_at: datetime | None) -> int:
    """Whole minutes that a racquet is truly late; 0 while it is in time or tight."""
    return minutes_past(ready_at, late_from(needed_by_at, latest_at))


def standing(ready_at: datetime, needed_by_at: datetime | None, latest_at: datetime | None) -> Standing:
    """Whether a racquet that is ready at READY_AT is late, tight or in time."""
    if minutes_late(ready_at, needed_by_at, latest_at):
        return "late"
    return "tight" if minutes_past(ready_at, needed_by_at) else ""


def fresh_from(needed_by_at: datetime | None, fresh_hours: int | None, *, as_fresh: bool) -> datetime | None:
    """Before when a racquet is better not strung: a bed loses tension from the first hour.

    None without a time, or where nobody asks for a fresh bed (`fresh_hours` None).
    """
    asked = [hours for hours in (fresh_hours, AS_FRESH_HOURS if as_fresh else None) if hours is not None]
    return None if needed_by_at is None or not asked else needed_by_at - timedelta(hours=min(asked))
