"""Stringers who do exactly what the plan says, and players who fetch what is ready."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, Select, exists, select
from sqlalchemy.orm import Session, aliased, selectinload

from desk.errors import DeskError
from desk.models import Absence, Assignment, Event, EventDay, Job, Outage, Player, Stringer
from desk.queries.plan.stranded import standing_still
from desk.services.acting import Acting
from desk.services.bench import jobs
from desk.services.counter import handovers

FETCH_AFTER = timedelta(minutes=10)
RUNNER_AFTER = timedelta(minutes=2)


class BenchWork:
    """Finishes what is done, starts what is planned to start, hands over what is fetched.

    With ASKS a racquet whose stringer or machine fell away waits until somebody has said what becomes of it; without,
    whoever has it finishes it before going.
    """

    def __init__(self, event_id: int, *, asks: bool = False) -> None:
        self.event_id, self.asks, self._startable = event_id, asks, _startable(event_id)
        self._not_now: set[tuple[int, datetime]] = set()

    def next_at(self, session: Session, now: datetime) -> datetime | None:
        """Return when the next racquet is finished, started or fetched, not before NOW."""
        ends = [job.expected_end_at for job in self._running(session, now) if job.expected_end_at is not None]
        starts = session.execute(self._startable.where(Assignment.start_at > now).limit(1)).all()
        fetched = [at for at, _ in self._fetched(session)]
        due = [*ends, *(row.start_at for row in starts), *fetched]
        return max(now, min(due)) if due else None

    def act(self, session: Session, at: datetime) -> list[str]:
        """Carry out what is due AT and return what was refused."""
        refused = [*self._finish(session, at), *self._start(session, at), *self._hand_over(session, at)]
        return refused

    def _running(self, session: Session, at: datetime) -> list[Job]:
        still = standing_still(session, session.get_one(Event, self.event_id), at) if self.asks else {}
        running = select(Job).where(Job.event_id == self.event_id, Job.state == "on_machine").order_by(Job.id)
        return [job for job in session.scalars(running) if job.id not in still]

    def _finish(self, session: Session, at: datetime) -> list[str]:
        refused = []
        names = dict(
            session.execute(select(Stringer.id, Stringer.name).where(Stringer.event_id == self.event_id)).all()
        )
        for job in self._running(session, at):
            if job.expected_end_at is None or job.expected_end_at > at:
                continue
            acting = Acting(by=names.get(job.stringer_id, "bench"), at=at)
            try:
                with session.begin_nested():
                    jobs.finish_job(
                        session, self.event_id, job.id, jobs.Finish(checks=tuple(jobs.BENCH_CHECKS)), acting=acting
                    )
            except DeskError as error:
                job.expected_end_at = None
                with session.begin_nested():
                    jobs.report_problem(session, self.event_id, job.id, str(error), acting=acting)
                refused.append(f"{job.code}: {error}")
        return refused

    def _start(self, session: Session, at: datetime) -> list[str]:
        refused = []
        for row in session.execute(self._startable.where(Assignment.start_at <= at)).all():
            if (row.job_id, row.start_at) in self._not_now:
                continue
            stringer = session.get_one(Stringer, row.stringer_id)
            try:
                with session.begin_nested():
                    jobs.start_job(
                        session,
                        self.event_id,
                        row.job_id,
                        acting=Acting(by=stringer.name, at=at),
                        stringer_id=row.stringer_id,
                        machine_id=row.machine_id,
                    )
            except DeskError as error:
                self._not_now.add((row.job_id, row.start_at))
                refused.append(str(error))
        return refused

    def _fetched(self, session: Session) -> list[tuple[datetime, Job]]:
        """Return when each strung racquet is fetched: on court at once, else ten minutes after the promise."""
        days = session.scalars(select(EventDay).where(EventDay.event_id == self.event_id).order_by(EventDay.date)).all()
        strung = session.scalars(
            select(Job)
            .where(Job.event_id == self.event_id, Job.state == "strung")
            .options(selectinload(Job.promises))
            .order_by(Job.id)
        )
        return [(_within_hours(_fetch_at(job), days), job) for job in strung if job.finished_at is not None]

    def _hand_over(self, session: Session, at: datetime) -> list[str]:
        due: dict[int, list[int]] = defaultdict(list)
        for fetch_at, job in self._fetched(session):
            if fetch_at <= at:
                due[job.player_id].append(job.id)
        for player_id, job_ids in due.items():
            name = session.get_one(Player, player_id).name
            acting = Acting(by="front desk", at=at)
            handovers.hand_over(session, self.event_id, job_ids, collected_by=name, acting=acting)
        return []


def _startable(event_id: int) -> Select:
    """Return the planned starts in order whose stringer is here and has, like the machine, nothing on it now.

    A start at which somebody is only expected back waits: the plan is made anew then.
    """
    running = aliased(Job)
    same_hands = (running.stringer_id == Assignment.stringer_id) | (running.machine_id == Assignment.machine_id)
    busy = exists().where(running.event_id == event_id, running.state == "on_machine", same_hands)
    absent = exists().where(Absence.stringer_id == Assignment.stringer_id, _holds(Absence))
    out = exists().where(Outage.machine_id == Assignment.machine_id, _holds(Outage))
    return (
        select(Assignment.job_id, Assignment.stringer_id, Assignment.machine_id, Assignment.start_at)
        .join(Job, Job.id == Assignment.job_id)
        .join(Event, Event.current_run_id == Assignment.run_id)
        .where(Event.id == event_id, Job.state == "waiting", ~busy, ~absent, ~out)
        .order_by(Assignment.start_at, Assignment.id)
    )


def _holds(gap: type[Absence | Outage]) -> ColumnElement[bool]:
    """Return what `desk.queries.spans.holds` says of the planned start."""
    return gap.over.is_(False) & (gap.begun.is_(True) | (gap.from_at <= Assignment.start_at))


def _fetch_at(job: Job) -> datetime:
    finished = job.finished_at
    assert finished is not None
    if job.on_court:
        return finished + RUNNER_AFTER
    return max(finished, job.promised_at or finished) + FETCH_AFTER


def _within_hours(at: datetime, days: list[EventDay]) -> datetime:
    """Return AT, or the next opening of the desk when it is closed then."""
    for day in days:
        if at <= day.closes_at:
            return max(at, day.opens_at)
    return at
