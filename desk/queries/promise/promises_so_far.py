"""What the event's own promises taught, and the ready time to tell by it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Promise
from desk.queries.bench.bench_times import learned_times
from desk.queries.play.play_records import clock_of
from desk.queries.row_making import kept
from desk.trade.bench.promise import STEP, PromiseKept, PromiseSettings, Told, learned_correction, tell


@dataclass(frozen=True, kw_only=True)
class PromisesSoFar:
    """The factor on margins that the event's promises taught, and from how many."""

    settings: PromiseSettings
    correction: float
    promises: int

    def tell(self, planned_end_at: datetime, **of_racquet: Any) -> Told:
        """Return the ready time to tell; OF_RACQUET is what else `desk.trade.bench.promise.tell` asks."""
        return tell(planned_end_at, **of_racquet, settings=self.settings, correction=self.correction)


def promises_so_far(session: Session, event: Event) -> PromisesSoFar:
    """Return what the event's kept and broken promises taught; read once in a session for each change."""
    return kept(session, ("promises", event.id), event.change_number, lambda: _learn(session, event))


def _learn(session: Session, event: Event) -> PromisesSoFar:
    clock = clock_of(session, event)
    so_far = [
        PromiseKept(clock.to_minutes(planned), margin, clock.to_minutes(ready))
        for planned, margin, ready in _first_promises(session, event)
    ]
    settings = PromiseSettings(
        hold=event.promise_per_cent / 100,
        spread=learned_times(session, event).spread_per_cent / 100,
        on_court_min=event.on_court_minutes,
    )
    correction = learned_correction(so_far, settings.hold)
    return PromisesSoFar(settings=settings, correction=correction, promises=len(so_far))


def _first_promises(session: Session, event: Event) -> Sequence[tuple[datetime, int, datetime]]:
    """Return (planned end, margin, ready) of each strung racquet's first promise: later ones knew of the delay.

    Only what had a margin for others teaches: no racquet from the court, none that was told the time it is needed.
    """
    first = (
        select(func.min(Promise.id))
        .join(Job, Job.id == Promise.job_id)
        .where(Job.event_id == event.id, Job.finished_at.is_not(None), Promise.planned_end_at.is_not(None))
        .group_by(Promise.job_id)
    )
    found = (
        select(Promise.planned_end_at, Promise.margin_minutes, Job.finished_at, Promise.ready_at, Job.needed_by_at)
        .join(Job, Job.id == Promise.job_id)
        .where(Promise.id.in_(first), Job.on_court.is_(False))
    )
    return [
        (planned, margin, ready)
        for planned, margin, ready, told, needed in session.execute(found)
        if planned and ready and (needed is None or told <= needed - STEP)
    ]
