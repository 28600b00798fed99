"""Problems of the scheduling literature, stated as workloads."""

from dataclasses import replace

from solver import Points, Workload
from solver.contract.workload import Job, Machine, Stringer

NOTHING = Points(
    unplaced=1_000_000,
    late=0,
    promise=0,
    extra_stringer=0,
    extra_machine=0,
    away=0,
    over_target=0,
    moved=0,
    waiting=0,
    late_cap=None,
)
"""No heading costs anything but leaving a job out.

In the literature every job is done.  Without a cap a job left out costs its lateness at the end of the last window
besides, so that one late there would cost as much as one left out were `unplaced` 0; with a cap, leaving out has to
cost more than all that the other jobs can gain by it.  A million is more than any total with a cap in these tests.
"""
TARDINESS = replace(NOTHING, late=100)
"""100 a minute past due for each unit of weight, without a cap."""


def classic_workload(processing, due, weights=None, *, releases=None, team=1, eligible=None):
    """So many equal stringers and machines, always at work; every job its own player's.

    The hours end when one machine would have done everything after the last release, which loses no plan that
    keeps busy.
    """
    count = len(processing)
    releases = releases or [0] * count
    end = sum(processing) + max(releases, default=0)
    rows = zip(processing, due, weights or [1] * count, releases, eligible or [None] * count, strict=True)
    return Workload(
        stringers=tuple(Stringer(id=f"S{i}", windows=((0, end),)) for i in range(1, team + 1)),
        machines=tuple(Machine(id=f"M{i}") for i in range(1, team + 1)),
        jobs=tuple(
            Job(id=f"J{n}", player=f"P{n}", minutes=p, due=d, weight=w, ready_from=r, stringers=who)
            for n, (p, d, w, r, who) in enumerate(rows, 1)
        ),
    )


def order_of(plan):
    """The numbers of the jobs as they are strung."""
    return [int(a.job[1:]) for a in sorted(plan.assignments, key=lambda a: a.start)]
