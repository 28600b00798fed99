"""A simple bound: what every job costs when it has the desk to itself."""

from solver.contract.calendar import Calendar, started_assignments
from solver.contract.end_points import EndPoints, end_points
from solver.contract.points import Points
from solver.contract.workload import (
    Job,
    Stringer,
    Workload,
    bench_minutes,
    earliest_start,
    is_stale,
    may_string,
    waits_from,
)
from solver.judge.costs import cost_of_assignments, leaving_out_cost


def bound_alone(workload: Workload, points: Points) -> int:
    """Give a lower bound on the total of any plan, without regard to other jobs or to machines.

    Quick, of use where nothing better is at hand yet.
    """
    total = sum(cost_of_assignments(workload, started_assignments(workload), (), points).values())
    calendar = Calendar(workload)
    for job in workload.jobs:
        if job.started is None:
            ends = end_points(workload, job, points)
            ways = (_alone_with(calendar, job, s, points, ends) for s in may_string(workload, job))
            costs = [cost for cost in ways if cost is not None]
            total += min([leaving_out_cost(workload, job, points), *costs])
    return total


def _alone_with(calendar: Calendar, job: Job, stringer: Stringer, points: Points, ends: EndPoints) -> int | None:
    workload = calendar.workload
    length = bench_minutes(job, stringer)
    start = calendar.earliest(stringer.id, None, earliest_start(workload, job), length)
    if start is None:
        return None
    fixed = points.over_target * max(0, length - workload.target_minutes)
    fixed += points.moved * (job.planned_stringer not in (None, stringer.id))
    waited = points.waiting * max(0, start + length - waits_from(job))
    at_once = ends.least_from(start + length) + waited + points.stale * is_stale(job, start)
    if job.fresh_from is None or not is_stale(job, start):
        return fixed + at_once
    return fixed + min(at_once, ends.least_from(job.fresh_from + length) + points.waiting * length)
