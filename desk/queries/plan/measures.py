"""Figures of every open event for whoever watches the installation from outside; none names a person."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import OPEN_STATES, Assignment, Event, Job, PlanRun, Promise
from desk.trade.play.needed_by import standing


@dataclass(frozen=True, kw_only=True)
class EventMeasures:
    """One open event: racquets that are open, planned late or tight, or past their promise; its plan in force."""

    slug: str
    open_jobs: int
    late_jobs: int
    tight_jobs: int
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
    standings = late_and_tight(session, event)
    return EventMeasures(
        slug=event.slug,
        open_jobs=session.scalar(select(func.count(Job.id)).where(*mine)) or 0,
        late_jobs=standings["late"],
        tight_jobs=standings["tight"],
        broken_promises=session.scalar(past) or 0,
        plan_age_seconds=None if run is None else max(0.0, (now - run.made_at).total_seconds()),
        solve_seconds=None if run is None else run.seconds,
        gap=None if run is None or not run.total else max(0.0, (run.total - run.bound) / run.total),
    )


def late_and_tight(session: Session, event: Event) -> Counter[str]:
    """Return how many racquets the plan in force brings late, how many tight; one without a place has no time."""
    found = (
        select(Assignment.end_at, Job.needed_by_at, Job.latest_at)
        .join(Job, Job.id == Assignment.job_id)
        .where(Assignment.run_id == (event.current_run_id or 0), Job.state.in_(OPEN_STATES))
    )
    return Counter(standing(*row) for row in session.execute(found))


def open_events(session: Session) -> list[Event]:
    """Return the events that are open, in their order."""
    return list(session.scalars(select(Event).where(Event.status == "open").order_by(Event.id)))
