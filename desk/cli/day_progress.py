"""How far a played event is, in one line: the share of its racquets, the time left, and how many are late."""

from __future__ import annotations

import time
from bisect import bisect_right
from collections.abc import Callable, Sequence
from datetime import datetime

EVERY_SECONDS = 1.0


class DayProgress:
    """Counts along the moments at which racquets are dropped off, a line a second at most."""

    def __init__(self, drop_offs: Sequence[datetime], *, now: Callable[[], float] = time.monotonic) -> None:
        self.drop_offs = sorted(drop_offs)
        self.now = now
        self._begun = now()
        self._shown = self._begun - EVERY_SECONDS

    def line(self, at: datetime, clock: str, late: Callable[[], int]) -> str | None:
        """Return the line for the event's moment AT, told as CLOCK; None while the last one is fresh."""
        if self.now() - self._shown < EVERY_SECONDS:
            return None
        self._shown = self.now()
        share = bisect_right(self.drop_offs, at) / max(1, len(self.drop_offs))
        spent = self._shown - self._begun
        left = f"{_span(spent * (1 - share) / share)} left" if share else "just begun"
        return f"{clock}  {share:4.0%} of the racquets, {left}, {late()} late".ljust(72)


def _span(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 100 else f"{seconds / 60:.0f} min"
