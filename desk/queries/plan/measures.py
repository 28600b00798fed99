"""Figures of every open event for whoever watches the installation from outside; none names a person."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import OPEN_STATES, Event, Job, PlanRun, Promise


@dataclass(frozen=True, kw_only=True)
class EventMeasures:
    """One open event: racquets that are open, late, or past their promise; its plan in force."""

    slug: str
    open_jobs: int
    late_jobs: int
    broken_promises: int
    plan_age_seconds: float | None
    solve_seconds: float | None
    gap: float | None


def event_measures(session: Session, event: Event, now: datetime) -> EventMeasures:
    """Return the figures of one event at NOW, in its own time."""
    mine = (Job.event_id == event.id, Job.state.in_(OPEN_STATES))
    newest = select(func.max(Promise.id)).where(Promise.job_id == Job.id).correlate(Job).scalar_subquery()
    past = select(func.count(Job.id)).join(Promise, Promise.id == newest).where(*mine, Promise.ready_at < now)
    run = None if event.current_run_id is None else session.get(PlanRun, event.current_run_id)
    return EventMeasures(
        slug=event.slug,
        open_jobs=session.scalar(select(func.count(Job.id)).where(*mine)) or 0,
        late_jobs=session.scalar(select(func.count(Job.id)).where(*mine, Job.late_why != "")) or 0,
        broken_promises=session.scalar(past) or 0,
        plan_age_seconds=None if run is None else max(0.0, (now - run.made_at).total_seconds()),
        solve_seconds=None if run is None else run.seconds,
        gap=None if run is None or not run.total else max(0.0, (run.total - run.bound) / run.total),
    )


def open_events(session: Session) -> list[Event]:
    """Return the events that are open, in their order."""
    return list(session.scalars(select(Event).where(Event.status == "open").order_by(Event.id)))
