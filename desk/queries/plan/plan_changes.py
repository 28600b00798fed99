"""What a change would do to the plan: compared racquet by racquet, before anything is kept."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import datetime

import solver
from desk.queries.plan.workloads import Moment, RacquetName
from desk.trade.play.needed_by import A_LITTLE_MIN
from solver.contract import workload as work


@dataclass(frozen=True, kw_only=True)
class InPlan:
    """How a racquet stands in one plan: with whom, ready when (None: no place), minutes late and past its promise."""

    stringer: str = ""
    machine: str = ""
    ready_at: datetime | None = None
    late_min: int = 0
    broken_min: int = 0

    @property
    def is_well(self) -> bool:
        return self.ready_at is not None and not self.late_min and not self.broken_min

    @property
    def needs_hand(self) -> bool:
        return self.ready_at is None or self.late_min > 0 or self.broken_min >= A_LITTLE_MIN


@dataclass(frozen=True, kw_only=True)
class RacquetChange:
    """One racquet in the plan in force and in the changed one."""

    racquet: RacquetName
    before: InPlan
    after: InPlan

    @property
    def is_worse(self) -> bool:
        if self.after.ready_at is None or self.before.ready_at is None:
            return self.before.ready_at is not None
        return self.after.late_min > self.before.late_min or self.after.broken_min > self.before.broken_min

    @property
    def is_mended(self) -> bool:
        return self.after.is_well and not self.before.is_well

    @property
    def goes_elsewhere(self) -> bool:
        return "" not in (self.before.stringer, self.after.stringer) and self.before.stringer != self.after.stringer

    @property
    def minutes(self) -> int:
        """Minutes that it is worse by, for the order of lines; without a place is worst."""
        if self.after.ready_at is None:
            return 10**6
        return 2 * (self.after.late_min - self.before.late_min) + self.after.broken_min - self.before.broken_min


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """A plan beside today's.

    `own` is the racquet that somebody moves, None where none is moved. Of the others `worse` come late, break their
    promise or lose their place by it (or more than before), the worst first; `mended` are well again; `elsewhere` go
    to another stringer. Minutes are sums over all racquets.
    """

    own: RacquetChange | None
    worse: tuple[RacquetChange, ...]
    mended: tuple[RacquetChange, ...]
    elsewhere: tuple[RacquetChange, ...]
    late_before: int
    late_after: int
    late_min_before: int
    late_min_after: int


def compare(
    moment: Moment, before: solver.Plan, workload: solver.Workload, after: solver.Plan, *, own: str = ""
) -> Comparison:
    """Compare the plan in force with one made for a changed workload; OWN is the workload's name of a moved racquet."""
    old, new = _standing(moment, moment.workload, before), _standing(moment, workload, after)
    none = InPlan()
    changes = {
        name: RacquetChange(racquet=racquet, before=old.get(name, none), after=new.get(name, none))
        for name, racquet in moment.keys.racquets.items()
    }
    others = [change for name, change in sorted(changes.items()) if name != own]
    return Comparison(
        own=changes.get(own),
        worse=tuple(sorted((one for one in others if one.is_worse), key=lambda one: -one.minutes)),
        mended=tuple(one for one in others if one.is_mended),
        elsewhere=tuple(one for one in others if one.goes_elsewhere),
        late_before=sum(one.late_min > 0 for one in old.values()),
        late_after=sum(one.late_min > 0 for one in new.values()),
        late_min_before=sum(one.late_min for one in old.values()),
        late_min_after=sum(one.late_min for one in new.values()),
    )


def _standing(moment: Moment, workload: solver.Workload, plan: solver.Plan) -> dict[str, InPlan]:
    """How each placed racquet stands, by its name in the workload."""
    spoken = moment.keys.spoken
    found = {}
    for a in plan.assignments:
        job = workload.job_by_id[a.job]
        late_from = work.late_from(job)
        found[a.job] = InPlan(
            stringer=spoken.get(a.stringer, a.stringer),
            machine=spoken.get(a.machine, a.machine),
            ready_at=moment.clock.to_utc(a.end),
            late_min=0 if late_from is None else max(0, a.end - late_from),
            broken_min=0 if job.promised is None else max(0, a.end - job.promised),
        )
    return found


def plan_in_force(moment: Moment) -> solver.Plan:
    """Return the plan in force with what it leaves out, as far as the moment still has it.

    What was begun since it was made stands where it was begun, and what was to begin by now begins now.
    """
    previous = moment.previous
    begun = {job.id: _begun(job.id, job.started) for job in moment.workload.jobs if job.started is not None}
    planned = {a.job: a for a in previous.assignments if a.job in moment.workload.job_by_id} if previous else {}
    rows = from_now(moment, (planned | begun).values(), set(begun))
    left_out = tuple(job.id for job in moment.workload.jobs if job.id not in planned and job.id not in begun)
    plan = solver.Plan(status="feasible", assignments=rows, unplaced=left_out, costs={})
    return replace(plan, costs=solver.cost_of(moment.workload, plan))


def from_now(
    moment: Moment, rows: Iterable[solver.Assignment], begun: Collection[str]
) -> tuple[solver.Assignment, ...]:
    """Return the places with those that wait pushed on to now, and whatever they push."""
    free: dict[str, int] = {}
    found = []
    for a in sorted(rows, key=lambda one: (one.job not in begun, one.start, one.job)):
        start = a.start
        if a.job not in begun:
            start = max(a.start, moment.workload.now, free.get(a.stringer, 0), free.get(a.machine, 0))
        found.append(replace(a, start=start, end=a.end + start - a.start))
        free[a.stringer] = free[a.machine] = found[-1].end
    return tuple(found)


def _begun(job: str, at: work.Started) -> solver.Assignment:
    return solver.Assignment(job=job, stringer=at.stringer, machine=at.machine, start=at.start, end=at.end)
