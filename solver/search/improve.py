"""`improve`: the best plan that a compiled search finds in the time given."""

import time
from collections.abc import Sequence
from dataclasses import dataclass

from solver.contract.calendar import started_assignments
from solver.contract.plan import Assignment, Plan
from solver.contract.points import Points
from solver.contract.workload import Workload
from solver.judge.check import check_plan
from solver.judge.costs import cost_of_assignments
from solver.search.team import Progress, Team


@dataclass(frozen=True, kw_only=True)
class Found:
    """A plan with its total in points; `assignments` hold the started racquets too."""

    assignments: tuple[Assignment, ...]
    unplaced: tuple[str, ...]
    total: int


def improve(
    workload: Workload,
    points: Points,
    start: Sequence[Assignment] | None,
    *,
    before: Sequence[Assignment] = (),
    seconds: float,
    seed: int = 0,
    steps: int | None = None,
    workers: int = 1,
    on_progress: Progress | None = None,
) -> Found:
    """Improve a plan, or find one, by simulated annealing.

    Parameters
    ----------
    workload : Workload
        What is planned.
    points : Points
        What each shortcoming costs.
    start : sequence of Assignment or None
        A plan to begin with, the started racquets in it or not.  The answer costs no more,
        provided that this keeps the rules.
    before : sequence of Assignment
        The plan of an earlier state of the workload, whose order may make a better start than what
        is left of it.
    seconds : float
        How long to search.
    seed : int
        Where the random numbers begin.
    steps : int or None
        Moves to try at most; with one worker the answer then depends on nothing but the arguments,
        provided that `seconds` are enough for them.
    workers : int
        Threads to search with.
    on_progress : callable or None
        Called with the best total some times a second, on the calling thread; True ends the search.

    Returns
    -------
    Found
        The best plan seen.
    """
    deadline = time.perf_counter() + seconds
    team = Team(
        workload, points, start, before=before, seed=seed, workers=max(1, workers), deadline=deadline, steps=steps
    )
    team.work(on_progress)
    best = _found(workload, points, *team.best())
    return best if start is None else _cheaper_of(workload, points, best, start)


def _cheaper_of(workload: Workload, points: Points, best: Found, start: Sequence[Assignment]) -> Found:
    """Give the plan begun with where it keeps every rule and costs less than what was found."""
    start = [a for a in start if _is_known(workload, a)]
    kept = {a.job for a in start}
    missing = [j.id for j in workload.jobs if j.id not in kept and j.started is None]
    everything = [a for a in started_assignments(workload) if a.job not in kept] + list(start)
    given = _found(workload, points, everything, missing)
    return best if given.total >= best.total or _breaks_rules(workload, given) else given


def _is_known(workload: Workload, a: Assignment) -> bool:
    return a.job in workload.job_by_id and a.stringer in workload.stringer_by_id and a.machine in workload.machine_by_id


def _breaks_rules(workload: Workload, found: Found) -> bool:
    plan = Plan(status="feasible", assignments=found.assignments, unplaced=found.unplaced, costs={})
    return bool(check_plan(workload, plan))


def _found(workload: Workload, points: Points, assignments: Sequence[Assignment], left_out: Sequence[str]) -> Found:
    total = sum(cost_of_assignments(workload, assignments, left_out, points).values())
    return Found(assignments=tuple(assignments), unplaced=tuple(left_out), total=total)
