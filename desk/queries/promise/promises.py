"""Promises that the plan in force will break, and what it would take to keep each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, or_, select
from sqlalchemy.orm import Session

from desk.models import OPEN_STATES, Assignment, Event, Job, Machine, PlanRun, Player, Stringer
from desk.queries.event.events import names_by_id
from desk.queries.machines.readings_due import WAITS, readings_due
from desk.queries.play.play_records import clock_of
from desk.trade.event.event_time import EventClock


@dataclass(frozen=True, kw_only=True)
class BreakingPromise:
    """A promise that the plan breaks; `planned_end_at` is None where the plan has no place for the job.

    `start_by_at` is the last moment at which its stringer could start and still keep it, None when that
    has passed. `let_wait` are the codes of racquets before it that can wait so long without breaking
    their own promise or needed-by time. `to_keep` says it in a sentence.
    """

    job_id: int
    code: str
    player: str
    promised_at: datetime
    planned_end_at: datetime | None
    late_minutes: int
    stringer: str
    machine: str
    reason: str
    start_by_at: datetime | None
    let_wait: tuple[str, ...]
    to_keep: str


@dataclass(frozen=True, kw_only=True)
class _Place:
    """A job in the plan with the times that it must keep."""

    job: Job
    row: Assignment | None
    promised_at: datetime | None
    player: str

    @property
    def limit_at(self) -> datetime | None:
        """The time at which it must be ready: its promise or needed-by time, whichever comes first."""
        return min((at for at in (self.promised_at, self.job.needed_by_at) if at is not None), default=None)

    @property
    def is_movable(self) -> bool:
        return self.job.state == "waiting" and self.job.pinned_stringer_id is None

    def can_wait(self, span: timedelta) -> bool:
        """Whether the racquet is still in time when it ends SPAN later."""
        assert self.row is not None
        return self.is_movable and (self.limit_at is None or self.row.end_at + span <= self.limit_at)


def promises_about_to_break(session: Session, event: Event, at: datetime) -> list[BreakingPromise]:
    """Return the promises that the plan in force will break, the soonest first."""
    places = _places(session, event)
    queues: dict[int, list[_Place]] = defaultdict(list)
    for place in places:
        if place.row is not None:
            queues[place.row.stringer_id].append(place)
    names = _Names(session, event, at)
    found = [names.row(place, queues, at) for place in places if _breaks(place)]
    return sorted(found, key=lambda row: (row.promised_at, row.code))


def _breaks(place: _Place) -> bool:
    if place.promised_at is None or place.job.state == "held":
        return False
    return place.row is None or place.row.end_at > place.promised_at


def _places(session: Session, event: Event) -> list[_Place]:
    found = (
        select(Job, Assignment, Job.promised_at, Player.called)
        .join(Player, Player.id == Job.player_id)
        .outerjoin(Assignment, (Assignment.job_id == Job.id) & place_stands(event))
        .where(Job.event_id == event.id, Job.state.in_(OPEN_STATES))
        .order_by(Assignment.start_at, Job.id)
    )
    # A job that came after the plan was made has no place yet; the next plan will tell.
    planned = event.current_run_id is not None and event.planned_change_number == event.change_number
    return [
        _Place(job=job, row=row, promised_at=promised, player=player)
        for job, row, promised, player in session.execute(found)
        if row is not None or planned
    ]


def place_stands(event: Event) -> ColumnElement[bool]:
    """Whether a place of the plan in force stands: of a racquet called for since, the next plan will tell."""
    made_at = select(PlanRun.made_at).where(PlanRun.id == Assignment.run_id).scalar_subquery()
    of_the_plan = Assignment.run_id == (event.current_run_id or 0)
    if event.planned_change_number == event.change_number:
        return of_the_plan
    return of_the_plan & or_(Job.called_at.is_(None), Job.called_at < made_at)


class _Names:
    """Speaks of stringers, machines, times and reasons."""

    def __init__(self, session: Session, event: Event, at: datetime) -> None:
        self.clock: EventClock = clock_of(session, event)
        self.stringers = names_by_id(session, event, Stringer)
        self.machines = names_by_id(session, event, Machine)
        run = None if event.current_run_id is None else session.get(PlanRun, event.current_run_id)
        self.reasons: Mapping[str, str] = {} if run is None else run.reasons
        self.readings = readings_due(session, event, at)

    def row(self, place: _Place, queues: Mapping[int, Sequence[_Place]], at: datetime) -> BreakingPromise:
        row, promised = place.row, place.promised_at
        assert promised is not None
        span = timedelta(minutes=place.job.house_minutes) if row is None else row.end_at - row.start_at
        start_by = promised - span
        let_wait = _can_wait(place, queues, span)
        return BreakingPromise(
            job_id=place.job.id,
            code=place.job.code,
            player=place.player,
            promised_at=promised,
            planned_end_at=None if row is None else row.end_at,
            late_minutes=0 if row is None else -((promised - row.end_at) // timedelta(minutes=1)),
            stringer="" if row is None else self.stringers.get(row.stringer_id, ""),
            machine="" if row is None else self.machines.get(row.machine_id, ""),
            reason=self.reasons.get(place.job.plan_name, ""),
            start_by_at=start_by if start_by >= at and place.job.state == "waiting" else None,
            let_wait=let_wait,
            to_keep=self._to_keep(place, start_by, let_wait, at),
        )

    def _to_keep(self, place: _Place, start_by: datetime, let_wait: Sequence[str], at: datetime) -> str:
        if place.job.state == "on_machine":
            return "It is on the machine and cannot go faster; tell the player a later time."
        if place.row is not None and self.readings.hold_up(place.row.start_at, place.job.not_before_at):
            return WAITS
        if start_by < at:
            return "It can no longer be kept; tell the player a later time."
        by = f"It must be on a machine by {self.clock.hhmm(self.clock.to_minutes(start_by))}"
        if let_wait:
            return f"{by}: let {' and '.join(let_wait)} wait; that makes none of them late."
        return f"{by}: that takes another stringer or machine, or makes a racquet before it late."


def _can_wait(place: _Place, queues: Mapping[int, Sequence[_Place]], span: timedelta) -> tuple[str, ...]:
    """Return the fewest racquets that it could overtake, the latest first, without making any of them late."""
    row, promised = place.row, place.promised_at
    if row is None or promised is None or place.job.state != "waiting":
        return ()
    before = [one for one in queues[row.stringer_id] if one.row is not None and one.row.start_at < row.start_at]
    passed: list[str] = []
    for one in reversed(before):
        assert one.row is not None
        if not one.can_wait(span):
            return ()
        passed.insert(0, one.job.code)
        if one.row.start_at + span <= promised:
            return tuple(passed)
    return ()
