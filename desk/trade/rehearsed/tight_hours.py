"""Where a day gets tight: work that comes against the hands on shift, half hour by half hour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

STEP_MIN = 30


@dataclass(frozen=True, kw_only=True)
class Tight:
    """From when to when work piles up (minutes), and at its height so many bench minutes more than the hands do."""

    start: int
    end: int
    over_min: float


def tightest(opens: int, waiting_min: float, comes: Sequence[float], hands: Sequence[float]) -> Tight | None:
    """Return the stretch at whose end most work is left over; None where the hands keep up.

    Parameters
    ----------
    opens : int
        Minute at which the first step begins.
    waiting_min : float
        Bench minutes that wait already.
    comes, hands : sequence of float
        Bench minutes that come, and stringers on shift, in each step of `STEP_MIN`.
    """
    left, began = waiting_min, opens
    best: Tight | None = None
    for i, (work, there) in enumerate(zip(comes, hands, strict=True)):
        could = there * STEP_MIN
        if left + work <= could:
            left, began = 0.0, opens + (i + 1) * STEP_MIN
            continue
        left += work - could
        if best is None or left > best.over_min:
            best = Tight(start=began, end=opens + (i + 1) * STEP_MIN, over_min=left)
    return best


def caught_up(opens: int, waiting_min: float, comes: Sequence[float], hands: Sequence[float]) -> int | None:
    """Return the minute from which nothing piles up any more; None where work is left when the last step ends.

    Parameters as of `tightest`.
    """
    left, minute = waiting_min, opens
    for i, (work, there) in enumerate(zip(comes, hands, strict=True)):
        left = max(0.0, left + work - there * STEP_MIN)
        if left > 0:
            minute = opens + (i + 2) * STEP_MIN
    return None if left > 0 else minute
