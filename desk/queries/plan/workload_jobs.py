"""Open jobs of the records as the solver's, with what was promised and who was to have them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Assignment, Event, Job, Stringer
from desk.queries.plan.who_may import is_gut, who_may, why_nobody
from desk.trade.event.event_time import EventClock
from desk.trade.play.needed_by import fresh_from
from solver.contract import workload as work

AT_ONCE_WEIGHT = 100
"""What a minute of one from the court counts in the plan: at 20, racquets for a match that were late themselves went
before it on an overloaded afternoon (a played week), and it is to have the first bench that comes free."""

Codes = Mapping[str, Mapping[int, str]]
"""The codes of stringers and of machines by id, under "stringer" and "machine"."""


def from_the_court(job: work.Job, within: int) -> work.Job:
    """Return a racquet from the court as it is planned: at the first bench that comes free.

    It is wanted from the minute it came, where it is needed WITHIN so many, and with whom and where it was to
    go, or the player's others go, counts nothing.
    """
    at_once = job.due is not None and job.due - job.ready_from <= within
    hurry = {"due": job.ready_from, "latest": work.late_from(job), "weight": AT_ONCE_WEIGHT} if at_once else {}
    return replace(job, player=f"{job.player}@{job.id}", planned_stringer=None, fresh_from=None, **hurry)


def fresh_from_of(event: Event, job: Job) -> datetime | None:
    """Return before when the job is better not strung; None for one from the court, or without a time."""
    needed_at = None if job.on_court else job.needed_by_at
    return fresh_from(needed_at, event.fresh_within_hours, as_fresh=job.card is not None and job.card.as_fresh)


class JobRows:
    """Turns rows of jobs into the solver's jobs; reads promises and the last plan once."""

    def __init__(
        self,
        session: Session,
        event: Event,
        clock: EventClock,
        now: int,
        codes: Codes,
        team: Sequence[Stringer],
        after: Mapping[str, tuple[str, ...]],
    ) -> None:
        self.event, self.clock, self.now, self.codes = event, clock, now, codes
        self.team, self.after = team, after
        self.nobody: dict[str, str] = {}
        self.allowed: dict[tuple[bool, bool], tuple[str, ...] | None] = {}
        self.promised = open_promises(session, event)
        planned = select(Assignment.job_id, Assignment.stringer_id).where(Assignment.run_id == event.current_run_id)
        self.planned: dict[int, int] = dict(session.execute(planned).all())

    def _minute(self, at: datetime | None) -> int | None:
        return None if at is None else self.clock.to_minutes(at)

    def as_solver_job(self, job: Job, player_code: str) -> work.Job:
        may = self._may(is_gut(job), job.on_court)
        if may == ():
            self.nobody[job.plan_name] = why_nobody(self.team, gut=is_gut(job), on_court=job.on_court)
        found = work.Job(
            id=job.plan_name,
            player=player_code,
            minutes=job.house_minutes,
            ready_from=max(0, self._ready_from(job)),
            fresh_from=self._minute(fresh_from_of(self.event, job)),
            due=self._minute(job.needed_by_at),
            latest=self._minute(job.latest_at),
            weight=job.weight,
            promised=self._minute(self.promised.get(job.id)),
            planned_stringer=self.codes["stringer"].get(self.planned.get(job.id, -1)),
            pinned_stringer=self._pin("stringer", job.pinned_stringer_id),
            pinned_machine=self._pin("machine", job.pinned_machine_id),
            stringers=may,
            after=self.after.get(job.plan_name, ()),
            started=self._started(job),
        )
        return from_the_court(found, self.event.on_court_minutes) if job.on_court else found

    def _may(self, gut: bool, on_court: bool) -> tuple[str, ...] | None:
        if (gut, on_court) not in self.allowed:
            self.allowed[gut, on_court] = who_may(self.team, gut=gut, on_court=on_court)
        return self.allowed[gut, on_court]

    def _pin(self, kind: str, row_id: int | None) -> str | None:
        return None if row_id is None else self.codes[kind][row_id]

    def _ready_from(self, job: Job) -> int:
        # A job is ready in the first whole minute after it came; only then is the plan's start not in the past.
        # What is here came before now, also where the clock was set back since.
        came = min(self._first_minute(job.wanted_since), self.now + 1)
        return came if job.held_back_until is None else max(came, self._first_minute(job.held_back_until))

    def _first_minute(self, at: datetime) -> int:
        return self.clock.to_minutes(at + timedelta(seconds=59))

    def _started(self, job: Job) -> work.Started | None:
        if job.state != "on_machine" or job.started_at is None or job.expected_end_at is None:
            return None
        start = max(0, self.clock.to_minutes(job.started_at))
        ahead = max(0, start - self.now)
        # One that takes longer than expected is thought to need a tenth of its time more, and never to be done already.
        overrun = self.now + max(2, job.house_minutes // 10)
        expected = self.clock.to_minutes(job.expected_end_at) - ahead
        end = expected if expected > self.now else overrun
        return work.Started(
            stringer=self.codes["stringer"][job.stringer_id or 0],
            machine=self.codes["machine"][job.machine_id or 0],
            start=start - ahead,
            end=max(end, start - ahead + 1),
        )


def open_promises(session: Session, event: Event) -> dict[int, datetime]:
    """Return the promise in force of every job that waits or is on a machine, by job id."""
    found = select(Job.id, Job.promised_at).where(Job.event_id == event.id, Job.state.in_(("waiting", "on_machine")))
    return {job_id: at for job_id, at in session.execute(found) if at is not None}
