"""The day as it goes: what happens next is carried out at its time, and planned again where the plan depends on it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Job
from desk.models.database import Database
from desk.queries.plan.expected_ends import expected
from desk.services.event_files import EventScript
from desk.services.plan.plan_runs import needs_plan
from desk.services.plan.planning import Effort, plan_event
from desk.services.played_day.asked_again import AskedAgain
from desk.services.played_day.bench_work import BenchWork
from desk.services.played_day.nominal_play import NominalPlay
from desk.services.played_day.script_steps import Script, rainy_spans
from desk.trade.play.expected import still_expected


@dataclass(frozen=True, kw_only=True)
class Step:
    """One moment that was played: when, and what could not be done then (sentences)."""

    at: datetime
    refused: tuple[str, ...]


class DayPlayer:
    """Plays an event from one moment to another.

    Parameters
    ----------
    database : Database
        Records that hold the event already.
    event_id : int
        The event.
    script : EventScript
        Drop-offs, incidents and calibrations with their times.
    effort : Effort or None
        How hard to plan after each change; None leaves planning to a planner process, and to whoever watches what
        becomes of a racquet whose stringer or machine fell away.
    since : datetime or None
        What the script says up to then is taken as done.
    """

    def __init__(
        self,
        database: Database,
        event_id: int,
        script: EventScript,
        *,
        effort: Effort | None,
        since: datetime | None = None,
    ) -> None:
        self.database, self.event_id, self.effort = database, event_id, effort
        with database.reading() as session:
            self._script = Script(session, event_id, script, since=since)
        told = {incident.which for incident in script.incidents if incident.what.startswith("match_")}
        self._play = NominalPlay(event_id, told, rainy_spans(script.incidents))
        self._benches = BenchWork(event_id, asks=effort is None)
        self._asked = AskedAgain(event_id)

    @property
    def racquets_refused(self) -> int:
        """How many racquets were not taken in so far."""
        return self._script.racquets_refused

    def advance(self, now: datetime, until: datetime, on_step: Callable[[Step], None] | None = None) -> None:
        """Play everything that happens after NOW up to UNTIL, in order of time."""
        while True:
            with self.database.reading() as session:
                at = self._next_at(session, now)
            if at is None or at > until:
                return
            step = self._act(at)
            if on_step is not None:
                on_step(step)
            now = at

    def plan(self, at: datetime) -> None:
        """Plan once at the moment AT, if this player plans at all."""
        if self.effort is not None:
            plan_event(self.database, self.event_id, at=at, effort=self.effort)

    def _next_at(self, session: Session, now: datetime) -> datetime | None:
        parts = (self._play, self._benches, self._asked)
        times = [self._script.next_at(), *(part.next_at(session, now) for part in parts)]
        times += self._expected(session, now)
        return min((at for at in times if at is not None), default=None)

    def _expected(self, session: Session, now: datetime) -> list[datetime | None]:
        """Return when something is expected back next, while racquets wait: the plan is made anew then."""
        event = session.get_one(Event, self.event_id)
        waits = session.scalar(select(Job.id).where(Job.event_id == event.id, Job.state == "waiting").limit(1))
        return [] if waits is None else [still_expected(one.at, now) for one in expected(session, event)]

    def _act(self, at: datetime) -> Step:
        with self.database.writing() as session:
            event = session.get_one(Event, self.event_id)
            refused = self._script.act(session, at) + self._play.act(session, at)
            benches_before = event.change_number
            refused += self._benches.act(session, at) + self._asked.act(session, at)
            only_benches = benches_before == event.planned_change_number
            if only_benches and not refused and self.effort is not None:
                # Benches that do what the plan says leave the plan as it is.
                event.planned_change_number = event.change_number
        self._plan_if_needed(at)
        return Step(at=at, refused=tuple(refused))

    def _plan_if_needed(self, at: datetime) -> None:
        if self.effort is None:
            return
        with self.database.reading() as session:
            needed = needs_plan(session, session.get_one(Event, self.event_id), at)
        if needed:
            self.plan(at)
            with self.database.writing() as session:
                self._benches.act(session, at)
                event = session.get_one(Event, self.event_id)
                event.planned_change_number = event.change_number
