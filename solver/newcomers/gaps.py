"""Gaps for racquets that have not come yet: a bench's minutes that are promised to nobody."""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from statistics import fmean

from solver.contract.calendar import Calendar, started_assignments
from solver.contract.plan import Assignment
from solver.contract.workload import Job, Workload
from solver.judge.costs import job_cost
from solver.newcomers.still_to_come import pushed_back

WIDER_FROM, WIDER_BY, WIDEST = 40, 11, 4.5
"""Up to a mean of `WIDER_FROM` minutes a gap is as wide as the racquet is pushed back. Each `WIDER_BY` minutes more
make it once wider, up to `WIDEST` times: where much comes, a gap is filled before the racquet behind it is begun.

Found by played days with promises, whose totals stand in DEVELOPERS.md.
"""


def with_gaps(workload: Workload, assignments: Iterable[Assignment]) -> list[Assignment]:
    """Let racquets wait at their bench where that costs waiting alone.

    Each is put off by what racquets that are still to come will push it back. Who is told the end of such a plan is
    told what the bench can keep when others come in between. What can begin now stays, so that nobody stands idle.

    Parameters
    ----------
    workload : Workload
        What is planned; its prices say what a later end costs.
    assignments : iterable of Assignment
        A plan that keeps every rule.

    Returns
    -------
    list of Assignment
        A plan that keeps every rule, each job with the stringer and the machine that it had, none sooner.
    """
    by_start = sorted(assignments, key=lambda a: a.start)
    wished = dict(_wishes(workload, by_start))
    calendar = Calendar(workload)
    made = started_assignments(workload)
    for a in reversed(by_start):
        job = workload.job_by_id[a.job]
        if job.started is None:
            # What is not moved yet ends before this one begins: it is in nobody's way.
            harmless = a.start if a.job in workload.in_turn else _last_harmless(workload, job, a, wished[a.job])
            start = calendar.latest(a.stringer, a.machine, harmless, a.end - a.start)
            made.append(_at(a, start))
            calendar.take(made[-1])
    return made


def _wishes(workload: Workload, by_start: Sequence[Assignment]) -> Iterator[tuple[str, int]]:
    """Give for each racquet the start to which it may be put off."""
    pushed = pushed_back(workload, by_start)
    mean = fmean(pushed.values()) if pushed else 0.0
    wider = min(WIDEST, max(1.0, 1 + (mean - WIDER_FROM) / WIDER_BY))
    for a in by_start:
        yield a.job, a.start + int(wider * pushed.get(a.job, 0.0))


def _last_harmless(workload: Workload, job: Job, a: Assignment, until: int) -> int:
    """Give the last start up to a minute that costs no more than the present one but for waiting."""

    def cost(start: int) -> int:
        costs = job_cost(workload, job, _at(a, start))
        return sum(costs.values()) - costs["waiting"]

    if cost(until) <= (present := cost(a.start)):
        return until
    return a.start + max(0, bisect_right(range(a.start, until), present, key=cost) - 1)


def _at(a: Assignment, start: int) -> Assignment:
    return replace(a, start=start, end=start + a.end - a.start)
