"""Each stringer's own pace in per cent of the house minutes: 110 needs a tenth longer.

Learned from finished jobs together with the house minutes, since a slow job is slow by its card or by its hand:
each is learned in turn given the other. A pace is shrunk towards what the desk entered, else 100, until there are
enough jobs.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from math import log, sqrt

from desk.trade.bench.bench_time import FinishedJob, HouseTable, clipped, learned_table
from desk.trade.errors import TradeError
from desk.trade.racquet.value_kinds import PACE

PRIOR_JOBS = 10
"""Jobs at the pace entered (100 where none was) that stand beside the timed ones."""
FASTEST, SLOWEST = PACE.low, PACE.high
USUAL_SPREAD, PRIOR_SPREAD_JOBS = 15, 40
"""Per cent by which bench times vary (an assumption), and the jobs of that spread beside the timed ones: so many, since
the standard deviation of fewer is known to no better than a tenth."""
_ROUNDS = 4


@dataclass(frozen=True)
class Pace:
    """Whole per cent of house time, number of jobs, and the desk's own figure if it overrules."""

    learned: int = 100
    n: int = 0
    overruled: int | None = None

    def __post_init__(self) -> None:
        if self.overruled is not None and not FASTEST <= self.overruled <= SLOWEST:
            raise TradeError(f"A pace of {self.overruled} %", "Stringer", f"Give {FASTEST} to {SLOWEST}.")

    @property
    def per_cent(self) -> int:
        """What the plan uses."""
        return self.learned if self.overruled is None else self.overruled


def learned_paces(
    jobs: Iterable[FinishedJob],
    table: HouseTable,
    overruled: Mapping[str, int] | None = None,
    entered: Mapping[str, int] | None = None,
) -> dict[str, Pace]:
    """The pace of every stringer with a finished job, an overrule or a pace that was entered."""
    overruled, entered = overruled or {}, entered or {}
    ratios: dict[str, list[float]] = {stringer: [] for stringer in (*overruled, *entered)}
    minutes = cache(table.minutes)
    for job in jobs:
        ratios.setdefault(job.stringer, []).append(clipped(job.minutes / minutes(job.card)))
    return {
        stringer: Pace(_shrunk(seen, entered.get(stringer, 100)), len(seen), overruled.get(stringer))
        for stringer, seen in ratios.items()
    }


def _shrunk(ratios: Sequence[float], entered: int) -> int:
    return round((PRIOR_JOBS * entered + 100 * sum(ratios)) / (PRIOR_JOBS + len(ratios)))


def learn(
    jobs: Sequence[FinishedJob],
    table: HouseTable | None = None,
    overruled: Mapping[str, int] | None = None,
    entered: Mapping[str, int] | None = None,
) -> tuple[HouseTable, dict[str, Pace]]:
    """House minutes and paces from the same finished jobs, each worked out with the other."""
    table = table or HouseTable()
    paces: dict[str, Pace] = learned_paces((), table, overruled, entered)
    for _ in range(_ROUNDS):
        table = learned_table(jobs, table, {stringer: pace.per_cent for stringer, pace in paces.items()})
        paces = learned_paces(jobs, table, overruled, entered)
    return table, paces


def stringer_minutes(house_min: int, pace: int) -> int:
    """Minutes this stringer takes: house minutes times pace, rounded up, as the plan counts them."""
    return -(-house_min * pace // 100)


def learned_spread(jobs: Sequence[FinishedJob], table: HouseTable, paces: Mapping[str, Pace]) -> int:
    """How uncertain bench times are: the standard deviation of their logarithm in whole per cent, 5 to 50.

    Each finished job is held against the minutes that its card and its stringer would take.
    """
    minutes = cache(table.minutes)
    off = [
        log(clipped(job.minutes * 100 / (minutes(job.card) * paces.get(job.stringer, Pace()).per_cent))) for job in jobs
    ]
    known = PRIOR_SPREAD_JOBS * (USUAL_SPREAD / 100) ** 2 + sum(one * one for one in off)
    return min(50, max(5, round(100 * sqrt(known / (PRIOR_SPREAD_JOBS + len(off))))))
