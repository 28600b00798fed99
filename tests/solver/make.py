"""Workloads and plans with boring defaults."""

from solver import Assignment, Plan, Workload
from solver.contract.plan import in_order
from solver.contract.workload import Job, Machine, Stringer
from solver.judge.costs import cost_of_assignments


def make_job(number=1, **over):
    """One racquet of player P1, half an hour's work less ten minutes."""
    return Job(**{"id": f"J{number}", "player": "P1", "minutes": 20} | over)


def make_stringer(number=1, **over):
    """A stringer at work from 0 to 480 and from 900 to 960, at machine M<number>."""
    return Stringer(**{"id": f"S{number}", "windows": ((0, 480), (900, 960)), "home": f"M{number}"} | over)


def make_machine(number=1, **over):
    """A machine that is always in service."""
    return Machine(**{"id": f"M{number}"} | over)


def make_workload(count=1, team=1, **over):
    """So many jobs of one player each, and so many stringers at their own machines."""
    given = {
        "jobs": tuple(make_job(i, player=f"P{i}") for i in range(1, count + 1)),
        "stringers": tuple(make_stringer(i) for i in range(1, team + 1)),
        "machines": tuple(make_machine(i) for i in range(1, team + 1)),
    }
    return Workload(**given | over)


def put(job=1, stringer=1, start=0, minutes=20, machine=None):
    """An assignment by numbers; the machine is the stringer's own unless given."""
    return Assignment(
        job=f"J{job}", stringer=f"S{stringer}", machine=f"M{machine or stringer}", start=start, end=start + minutes
    )


def make_plan_of(workload, *assignments, unplaced=(), points=None):
    """A plan of these assignments with its costs, whatever rules it breaks."""
    known = all(a.job in workload.job_by_id and a.stringer in workload.stringer_by_id for a in assignments)
    args = (workload, assignments, unplaced) + ((points,) if points else ())
    costs = cost_of_assignments(*args) if known else {}
    return Plan(status="feasible", assignments=in_order(assignments), unplaced=tuple(unplaced), costs=costs)
