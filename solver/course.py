"""The course of one planning: which steps it takes, and what share of the time each has."""

from collections.abc import Callable
from dataclasses import dataclass

from solver.contract.workload import Workload

Progress = Callable[[float, int, int], bool | None]
"""Told the seconds passed, the best total and the bound; True ends the planning."""

MOST_FOR_PROOF = 14
"""Jobs up to which the whole model is solved: beyond, a proof takes longer than a desk will wait."""
SHORT, MOST_FOR_SHORT_PROOF = 1.0, 6
"""Seconds below which a planning is short, all its time the search's; and the jobs that it still proves. One of
counted moves that asks for no bound proves nothing."""
SOON_REPLACED = 2.0
"""Seconds below which a plan stands only until the next change, so that it is searched for with room for newcomers."""
SEARCHED, MENDED, BOUNDED = 0.93, 0.97, 0.12
"""Shares of the time: search and mending part by part end, and the bound takes meanwhile.

Measured on `tour` and `breakdown`: a second of search gains more than one of mending, which finds
what the search does not when that has cooled.
"""
FOR_HINT = 0.2
"""Share of the time in which a search finds what the whole model begins with."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Options:
    """What the caller of `make_plan` asks for."""

    seconds: float
    seed: int
    workers: int
    steps: int | None
    progress: Progress | None
    bound: bool
    gaps: bool


class Course:
    """Which steps a planning takes, by its workload and by what its caller asks for."""

    def __init__(self, workload: Workload, options: Options) -> None:
        count = sum(job.started is None for job in workload.jobs)
        self.is_counted = options.steps is not None
        self.is_short = options.seconds < SHORT and not self.is_counted
        self.is_brief = self.is_short or (self.is_counted and not options.bound)
        most = MOST_FOR_SHORT_PROOF if self.is_short else MOST_FOR_PROOF
        self.is_small = count <= most and not (self.is_counted and self.is_brief)
        self.takes_bound = options.bound and not self.is_short
        is_soon_replaced = self.is_brief or (options.seconds < SOON_REPLACED and not self.is_counted)
        self.leaves_room = workload.spread > 0 and is_soon_replaced and not self.is_small
        self.leaves_gaps = self.leaves_room and options.gaps
        self.is_mended = not (self.is_counted or self.is_short or self.leaves_room or self.is_small)

    @property
    def searched(self) -> float:
        """Give the share of the time after which the search ends."""
        if self.is_small and not self.is_counted:
            return FOR_HINT
        return SEARCHED if self.is_mended else MENDED
