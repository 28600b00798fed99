"""What the event's own promises taught, and the ready time to tell by it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Promise
from desk.queries.bench.bench_times import learned_times
from desk.queries.play.play_records import clock_of
from desk.trade.bench.promise import PromiseKept, PromiseSettings, Told, learned_correction, tell


@dataclass(frozen=True, kw_only=True)
class PromisesSoFar:
    """The factor on margins that the event's promises taught, and from how many."""

    settings: PromiseSettings
    correction: float
    promises: int

    def tell(
        self,
        planned_end_at: datetime,
        *,
        jobs_ahead: int,
        minutes: int,
        needed_by_at: datetime | None = None,
        on_court: bool = False,
    ) -> Told:
        """Return the ready time to tell (see `desk.trade.bench.promise.tell`)."""
        return tell(
            planned_end_at,
            jobs_ahead=jobs_ahead,
            minutes=minutes,
            needed_by_at=needed_by_at,
            on_court=on_court,
            settings=self.settings,
            correction=self.correction,
        )


def promises_so_far(session: Session, event: Event) -> PromisesSoFar:
    """Return what the event's kept and broken promises taught; read once in a session for each change."""
    key = ("promises", event.id)
    held = session.info.get(key)
    if held is None or held[0] != event.change_number:
        held = session.info[key] = (event.change_number, _learn(session, event))
    found: PromisesSoFar = held[1]
    return found


def _learn(session: Session, event: Event) -> PromisesSoFar:
    clock = clock_of(session, event)
    kept = [
        PromiseKept(clock.to_minutes(planned), margin, clock.to_minutes(ready))
        for planned, margin, ready in _first_promises(session, event)
    ]
    settings = PromiseSettings(
        hold=event.promise_per_cent / 100,
        spread=learned_times(session, event).spread_per_cent / 100,
        on_court_min=event.on_court_minutes,
    )
    correction = learned_correction(kept, settings.hold)
    return PromisesSoFar(settings=settings, correction=correction, promises=len(kept))


def _first_promises(session: Session, event: Event) -> Sequence[tuple[datetime, int, datetime]]:
    """Return (planned end, margin, ready) of each strung racquet's first promise: later ones knew of the delay."""
    first = (
        select(func.min(Promise.id))
        .join(Job, Job.id == Promise.job_id)
        .where(Job.event_id == event.id, Job.finished_at.is_not(None), Promise.planned_end_at.is_not(None))
        .group_by(Promise.job_id)
    )
    found = (
        select(Promise.planned_end_at, Promise.margin_minutes, Job.finished_at)
        .join(Job, Job.id == Promise.job_id)
        .where(Promise.id.in_(first))
    )
    return [(planned, margin, ready) for planned, margin, ready in session.execute(found) if planned and ready]
