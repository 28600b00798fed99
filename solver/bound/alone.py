"""A simple bound: what every job costs when it has the desk to itself."""

from solver.contract.calendar import Calendar, started_assignments
from solver.contract.points import Points
from solver.contract.workload import Job, Stringer, Workload, bench_minutes, earliest_start, may_string
from solver.judge.costs import cost_of_assignments, leaving_out_cost, minutes_late


def bound_alone(workload: Workload, points: Points) -> int:
    """Give a lower bound on the total of any plan, without regard to other jobs or to machines.

    Quick, of use where nothing better is at hand yet.
    """
    total = sum(cost_of_assignments(workload, started_assignments(workload), (), points).values())
    calendar = Calendar(workload)
    for job in workload.jobs:
        if job.started is None:
            ways = (_alone_with(calendar, job, s, points) for s in may_string(workload, job))
            costs = [cost for cost in ways if cost is not None]
            total += min([leaving_out_cost(workload, job, points), *costs])
    return total


def _alone_with(calendar: Calendar, job: Job, stringer: Stringer, points: Points) -> int | None:
    workload = calendar.workload
    length = bench_minutes(job, stringer)
    start = calendar.earliest(stringer.id, None, earliest_start(workload, job), length)
    if start is None:
        return None
    end, cap = start + length, points.late_cap
    return (
        points.late * job.weight * minutes_late(end, job.due, cap)
        + points.promise * minutes_late(end, job.promised, cap)
        + points.over_target * max(0, length - workload.target_minutes)
        + points.moved * (job.planned_stringer not in (None, stringer.id))
        + points.waiting * (end - job.ready_from)
    )
