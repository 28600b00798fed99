"""Room for racquets that have not come yet: what a plan gives up a little for, where ends are not certain."""

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

from solver.contract.plan import Assignment
from solver.contract.points import Points
from solver.contract.workload import Workload, earliest_start, inside
from solver.dispatch import urgency
from solver.judge.costs import job_cost

STILL_TO_COME = 17
"""Per cent of spread that newcomers add to that of the bench times: 15 at the bench makes 23 in all."""
LATE_COUNTS = 2
"""Times as much as its price that lateness counts where newcomers may still come.

Both were found by played days, whose totals stand in DEVELOPERS.md.
"""


def with_room(workload: Workload) -> Workload:
    """Give the workload with less certain ends and dearer lateness, for newcomers; one with certain ends as it is."""
    if workload.spread == 0:
        return workload
    points = replace(workload.points, late=LATE_COUNTS * workload.points.late)
    return replace(workload, spread=round(math.hypot(workload.spread, STILL_TO_COME)), points=points)


def needed_first(workload: Workload, points: Points, assignments: Iterable[Assignment], spare: int) -> list[Assignment]:
    """Let what is needed first go first at its bench, where that costs little.

    Two racquets that follow one another at a bench trade turns, where that costs nothing but waiting. A newcomer
    then finds before it what can least wait, and behind it what can.

    Parameters
    ----------
    workload : Workload
        What is planned.
    points : Points
        What each shortcoming costs.
    assignments : iterable of Assignment
        A plan that keeps every rule.
    spare : int
        Points that all trades together may cost.

    Returns
    -------
    list of Assignment
        A plan that keeps every rule, each job with the stringer and the machine that it had.
    """
    rows: dict[str, list[Assignment]] = defaultdict(list)
    for a in sorted(assignments, key=lambda a: a.start):
        rows[a.stringer].append(a)
    trades = _Trades(workload, points, spare)
    for row in rows.values():
        for last in range(1, len(row)):
            at = last
            while at > 0 and trades.make(row, at):
                at -= 1
    return [a for row in rows.values() for a in row]


class _Trades:
    """Trades of two turns, and the points that are left for them."""

    def __init__(self, workload: Workload, points: Points, spare: int) -> None:
        self.workload, self.points, self.spare = workload, points, spare
        self.costs: dict[tuple[str, int], tuple[int, int]] = {}
        self.urgency = {job.id: urgency(job) for job in workload.jobs}

    def make(self, row: list[Assignment], at: int) -> bool:
        """Put the racquet at a place of the ROW before its neighbour, where it is needed sooner and little is lost."""
        first, second = row[at - 1], row[at]
        if self.urgency[second.job] >= self.urgency[first.job] or not self._may_trade(first, second):
            return False
        length = second.end - second.start
        sooner = replace(second, start=first.start, end=first.start + length)
        later = replace(first, start=sooner.end, end=second.end)
        before, after = (zip(*map(self._cost, two), strict=True) for two in ((first, second), (sooner, later)))
        waiting, others = (sum(new) - sum(old) for new, old in zip(after, before, strict=True))
        if others > 0 or waiting + others > self.spare or not (self._is_open(sooner) and self._is_open(later)):
            return False
        self.spare -= waiting + others
        row[at - 1 : at + 1] = sooner, later
        return True

    def _may_trade(self, first: Assignment, second: Assignment) -> bool:
        jobs = self.workload.job_by_id
        return (
            first.machine == second.machine
            and first.end == second.start
            and jobs[first.job].started is None
            and not {first.job, second.job} & self.workload.in_turn
            and earliest_start(self.workload, jobs[second.job]) <= first.start
        )

    def _is_open(self, a: Assignment) -> bool:
        """Whether it lies in one window of its stringer and of its machine."""
        windows = self.workload.stringer_by_id[a.stringer].windows, self.workload.machine_by_id[a.machine].windows
        return all(inside(a.start, a.end, its) for its in windows)

    def _cost(self, a: Assignment) -> tuple[int, int]:
        """Give the points of waiting, and all others."""
        key = a.job, a.end
        if key not in self.costs:
            cost = job_cost(self.workload, self.workload.job_by_id[a.job], a, self.points)
            self.costs[key] = cost["waiting"], sum(cost.values()) - cost["waiting"]
        return self.costs[key]
