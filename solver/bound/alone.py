"""A simple bound: what every job costs when it has the desk to itself."""

from solver.contract.calendar import Calendar, started_assignments
from solver.contract.end_points import EndPoints, end_points
from solver.contract.points import Points
from solver.contract.workload import (
    Job,
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
            costs = (_cost(workload, job, way, points, ends) for way in _ways(calendar, job))
            total += min([leaving_out_cost(workload, job, points), *costs])
    return total


Way = tuple[int, int, bool]
"""When a job may begin, its bench minutes, and whether that moves it from who was to have it."""


def _ways(calendar: Calendar, job: Job) -> set[Way]:
    """Give what differs between the stringers to whom `job` may go."""
    found = set()
    for one in may_string(calendar.workload, job):
        length = bench_minutes(job, one)
        start = calendar.earliest(one.id, None, earliest_start(calendar.workload, job), length)
        if start is not None:
            found.add((start, length, job.planned_stringer not in (None, one.id)))
    return found


def _cost(workload: Workload, job: Job, way: Way, points: Points, ends: EndPoints) -> int:
    start, length, is_moved = way
    fixed = points.over_target * max(0, length - workload.target_minutes) + points.moved * is_moved
    waited = points.waiting * max(0, start + length - waits_from(job))
    at_once = ends.least_from(start + length) + waited + points.stale * is_stale(job, start)
    if job.fresh_from is None or not is_stale(job, start):
        return fixed + at_once
    return fixed + min(at_once, ends.least_from(job.fresh_from + length) + points.waiting * length)
