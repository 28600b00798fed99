"""What a change would do to the plan: compared job by job, before anything is kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

import solver
from desk.queries.plan.workloads import Moment
from solver.contract import workload as work


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """A plan beside today's.

    `price` is points after less points before. Codes of racquets: `newly_late` come after their latest
    time only after the change, `newly_broken` their promise, `mended` are well again, `leave` go to
    another stringer, `unplaced` have no place any more. Minutes are sums over all racquets.
    """

    price: int
    late_min_before: int
    late_min_after: int
    late_before: int
    late_after: int
    newly_late: tuple[str, ...]
    newly_broken: tuple[str, ...]
    mended: tuple[str, ...]
    leave: tuple[str, ...]
    unplaced: tuple[str, ...]
    ends: Mapping[str, datetime]


def compare(moment: Moment, before: solver.Plan, workload: solver.Workload, after: solver.Plan) -> Comparison:
    """Compare the plan in force with one made for a changed workload; jobs are named by their codes."""
    old, new = _Lateness(moment.workload, before), _Lateness(workload, after)
    spoken = moment.keys.spoken
    places = before.by_job()
    cost_before = sum(solver.cost_of(moment.workload, before).values())

    def codes(ids: set[str]) -> tuple[str, ...]:
        return tuple(spoken[job] for job in sorted(ids) if job in spoken)

    ill_before = set(old.late) | set(old.broken) | set(before.unplaced)
    ill_after = set(new.late) | set(new.broken) | set(after.unplaced)
    return Comparison(
        price=sum(solver.cost_of(workload, after).values()) - cost_before,
        late_min_before=sum(old.late.values()),
        late_min_after=sum(new.late.values()),
        late_before=len(old.late),
        late_after=len(new.late),
        newly_late=codes(set(new.late) - set(old.late)),
        newly_broken=codes(set(new.broken) - set(old.broken)),
        mended=codes(ill_before - ill_after),
        leave=codes({a.job for a in after.assignments if a.job in places and places[a.job].stringer != a.stringer}),
        unplaced=codes(set(after.unplaced) - set(before.unplaced)),
        ends={spoken[a.job]: moment.clock.to_utc(a.end) for a in after.assignments if a.job in spoken},
    )


class _Lateness:
    """Minutes past the latest and past the promise, by job id."""

    def __init__(self, workload: solver.Workload, plan: solver.Plan) -> None:
        self.late: dict[str, int] = {}
        self.broken: dict[str, int] = {}
        for a in plan.assignments:
            job = workload.job_by_id[a.job]
            late_from = work.late_from(job)
            if late_from is not None and a.end > late_from:
                self.late[a.job] = a.end - late_from
            if job.promised is not None and a.end > job.promised:
                self.broken[a.job] = a.end - job.promised


def plan_in_force(moment: Moment) -> solver.Plan:
    """Return the plan in force with what it leaves out, as far as the moment still has it."""
    previous = moment.previous
    placed = {a.job for a in previous.assignments} if previous else set()
    rows = tuple(a for a in previous.assignments if a.job in moment.workload.job_by_id) if previous else ()
    left_out = tuple(job.id for job in moment.workload.jobs if job.id not in placed)
    plan = solver.Plan(status="feasible", assignments=rows, unplaced=left_out, costs={})
    return replace(plan, costs=solver.cost_of(moment.workload, plan))
