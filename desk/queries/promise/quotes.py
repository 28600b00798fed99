"""When a racquet that is not dropped off yet would be ready, and what sooner would cost others."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

import solver
from desk.models import Event, Player
from desk.queries.machines.readings_due import WAITS
from desk.queries.plan.plan_changes import from_now
from desk.queries.plan.who_may import who_may
from desk.queries.plan.workload_jobs import from_the_court
from desk.queries.plan.workloads import Moment, build_moment, history_of
from desk.queries.promise.promises_so_far import PromisesSoFar, promises_so_far
from desk.queries.row_making import kept
from desk.trade.bench.promise import Told
from desk.trade.play.needed_by import late_from, minutes_late, standing
from solver.contract import workload as work
from solver.contract.calendar import started_assignments


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What the quote needs to know of one racquet; times are UTC, minutes at pace 100.

    `latest_at` is when the player may be called, `fresh_from_at` before when it is better not strung.
    `stringer_id` is who must string it, None: whoever serves best.
    """

    player_code: str
    house_minutes: int
    ready_from_at: datetime
    needed_by_at: datetime | None
    weight: int
    latest_at: datetime | None = None
    fresh_from_at: datetime | None = None
    stringer_id: int | None = None
    on_court: bool = False
    gut: bool = False


@dataclass(frozen=True, kw_only=True)
class ReadyQuote:
    """When and where one racquet would be strung.

    `told` is what the player may be told, None when there is no place. `late_minutes` counts from
    `too_late_at` to the planned end; `is_tight` says that it lies between needed by and that. `breaks` names the
    jobs that would be late or break a promise, `price` what that costs them. `undisturbed_at` is the end if
    nobody else were moved.
    """

    stringer_id: int | None
    machine_id: int | None
    late_minutes: int
    needed_at: datetime | None = None
    too_late_at: datetime | None = None
    is_tight: bool = False
    told: Told | None = None
    why_not: str = ""
    undisturbed_at: datetime | None = None
    price: int = 0
    breaks: tuple[str, ...] = ()

    @property
    def is_past_need(self) -> bool:
        """Whether what may be told is later than it is needed, though it is planned in time."""
        at, needed = self.ready_at, self.needed_at
        return at is not None and needed is not None and at > needed and not self.late_minutes and not self.is_tight

    @property
    def ready_at(self) -> datetime | None:
        return None if self.told is None else self.told.ready_at


def quote_jobs(
    session: Session, event: Event, wanted: Sequence[Wanted], at: datetime, *, leaving_out: Collection[str] = ()
) -> list[ReadyQuote]:
    """Return a quote for each racquet, one after the other, without moving what is planned.

    LEAVING_OUT names those that wait in the plan already.
    """
    codes = {one.player_code for one in wanted}
    return Queue(session, event, at, codes, leaving_out=leaving_out).place(wanted)


class Queue:
    """The plan as newcomers of the players CODES find it: what is placed stands ahead of the next; nothing is kept."""

    def __init__(
        self,
        session: Session,
        event: Event,
        at: datetime,
        codes: Collection[str],
        *,
        leaving_out: Collection[str] = (),
    ) -> None:
        moment, self._plan = _without(leaving_out, *_standing(session, event, at))
        self._moment = _knowing(session, event, moment, codes)
        self._so_far = promises_so_far(session, event)
        self._on_court_minutes, self._placed = event.on_court_minutes, 0

    def place(self, wanted: Sequence[Wanted], *, only_try: bool = False) -> list[ReadyQuote]:
        """Return a quote for each racquet; where it is ONLY_TRY the next ones find the queue as it was."""
        moment, plan = self._moment, self._plan
        found: list[tuple[str, solver.Quote]] = []
        for number, one in enumerate(wanted, start=self._placed):
            job = _as_job(moment, one, f"new-{number}", self._on_court_minutes)
            found.append((job.id, solver.quote(moment.workload, plan, job)))
            best = found[-1][1].best
            if best is not None:
                moment = replace(moment, workload=replace(moment.workload, jobs=(*moment.workload.jobs, job)))
                plan = _with_place(plan, best)
        if not only_try:
            self._moment, self._plan, self._placed = moment, plan, self._placed + len(wanted)
        # A later racquet of the visit may push an earlier one: what is told is where each stands in the end.
        places = plan.by_job()
        return [
            _as_quote(self._so_far, moment, plan, one, quoted, places.get(name))
            for one, (name, quoted) in zip(wanted, found, strict=True)
        ]


def _standing(session: Session, event: Event, at: datetime) -> tuple[Moment, solver.Plan]:
    """Return the moment and the plan in which newcomers are placed; read once in a session for each change."""

    def read() -> tuple[Moment, solver.Plan]:
        moment = build_moment(session, event, at)
        return moment, _with_newcomers(moment)

    return kept(session, ("quotes", event.id), (event.change_number, at), read)


def _without(names: Collection[str], moment: Moment, plan: solver.Plan) -> tuple[Moment, solver.Plan]:
    if not names:
        return moment, plan
    jobs = (
        replace(job, after=tuple(one for one in job.after if one not in names))
        for job in moment.workload.jobs
        if job.id not in names
    )
    left = tuple(one for one in plan.assignments if one.job not in names)
    moment = replace(moment, workload=replace(moment.workload, jobs=tuple(jobs)))
    return moment, replace(plan, assignments=left, unplaced=tuple(one for one in plan.unplaced if one not in names))


def _knowing(session: Session, event: Event, moment: Moment, codes: Collection[str]) -> Moment:
    """Return the moment with the own stringer and machine of players who may have no racquet here yet.

    The next plan knows them: without them it gives the racquet to another bench than was quoted, and later.
    """

    def read() -> dict[str, work.History]:
        found = select(Player.id, Player.code).where(Player.event_id == event.id, Player.code.in_(codes))
        benches = {"stringer": moment.keys.stringers, "machine": moment.keys.machines}
        by_id = {kind: {row_id: code for code, row_id in ids.items()} for kind, ids in benches.items()}
        return history_of(session, event, by_id, dict(session.execute(found).all()))

    known = kept(session, ("quoted players", event.id), (event.change_number, frozenset(codes)), read)
    return replace(moment, workload=replace(moment.workload, history={**moment.workload.history, **known}))


def _with_newcomers(moment: Moment) -> solver.Plan:
    """Return the plan in force from now on, with a place for what was dropped off since it was made."""
    plan = _from_now(moment)
    known = {*plan.by_job(), *plan.unplaced}
    for job in moment.workload.jobs:
        if job.id not in known and job.started is None:
            best = solver.quote(moment.workload, plan, job).best
            plan = plan if best is None else _with_place(plan, best)
    return plan


def _from_now(moment: Moment) -> solver.Plan:
    """Return the plan in force with what was to begin by now beginning now, and what is at work ending as expected."""
    previous = moment.previous or solver.Plan(status="empty", assignments=(), costs={})
    begun = {one.job: one for one in started_assignments(moment.workload)}
    rows = [one for one in previous.assignments if one.job in moment.workload.job_by_id and one.job not in begun]
    return replace(previous, assignments=from_now(moment, [*rows, *begun.values()], begun))


def _as_job(moment: Moment, wanted: Wanted, name: str, on_court_minutes: int) -> work.Job:
    codes = {row_id: code for code, row_id in moment.keys.stringers.items()}

    def minute(at: datetime | None) -> int | None:
        return None if at is None else moment.clock.to_minutes(at)

    job = work.Job(
        id=name,
        player=wanted.player_code,
        minutes=wanted.house_minutes,
        ready_from=max(0, moment.clock.to_minutes(wanted.ready_from_at)),
        fresh_from=minute(wanted.fresh_from_at),
        due=minute(wanted.needed_by_at),
        latest=minute(wanted.latest_at),
        weight=wanted.weight,
        stringers=who_may(moment.keys.team, gut=wanted.gut, on_court=wanted.on_court),
        pinned_stringer=codes.get(wanted.stringer_id or 0),
        after=() if wanted.on_court else moment.kept_next,
    )
    return from_the_court(job, on_court_minutes) if wanted.on_court else job


def _with_place(plan: solver.Plan, best: solver.Sooner) -> solver.Plan:
    moved = {a.job: a for a in best.moved}
    kept = (moved.get(a.job, a) for a in plan.assignments if a.job not in best.left_out)
    return replace(plan, assignments=(*kept, best.place), unplaced=(*plan.unplaced, *best.left_out))


def _as_quote(
    so_far: PromisesSoFar,
    moment: Moment,
    plan: solver.Plan,
    wanted: Wanted,
    found: solver.Quote,
    place: solver.Assignment | None,
) -> ReadyQuote:
    if found.best is None or place is None:
        return ReadyQuote(stringer_id=None, machine_id=None, late_minutes=0, why_not=found.why_not)
    if moment.readings.hold_up(moment.clock.to_utc(place.start), _not_before(wanted)):
        return ReadyQuote(stringer_id=None, machine_id=None, late_minutes=0, why_not=WAITS)
    now = moment.workload.now
    ahead = sum(1 for a in plan.assignments if a.stringer == place.stringer and now < a.end <= place.start)
    end_at = moment.clock.to_utc(place.end)
    needed, latest = wanted.needed_by_at, wanted.latest_at
    return ReadyQuote(
        stringer_id=moment.keys.stringers[place.stringer],
        machine_id=moment.keys.machines[place.machine],
        told=so_far.tell(
            end_at, jobs_ahead=ahead, minutes=wanted.house_minutes, needed_by_at=needed, on_court=wanted.on_court
        ),
        late_minutes=minutes_late(end_at, needed, latest),
        needed_at=needed,
        too_late_at=late_from(needed, latest),
        is_tight=standing(end_at, needed, latest) == "tight",
        undisturbed_at=None if found.place is None else moment.clock.to_utc(found.place.end),
        price=found.best.price,
        breaks=tuple(moment.keys.spoken[job] for job in found.best.breaks if job in moment.keys.spoken),
    )


def _not_before(wanted: Wanted) -> datetime:
    return max(wanted.ready_from_at, wanted.fresh_from_at or wanted.ready_from_at)
