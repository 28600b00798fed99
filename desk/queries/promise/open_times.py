"""Ready times that do not stand: nobody can say when the racquet will be ready before somebody decides."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Job
from desk.queries.plan.stranded import standing_still


def open_times(session: Session, event: Event, at: datetime) -> dict[int, str]:
    """Return why the time of a racquet is open AT, by job; the number of statements is fixed."""
    held = select(Job.id, Job.held_reason).where(Job.event_id == event.id, Job.state == "held")
    found = {job_id: f"held, {reason}" if reason else "held" for job_id, reason in session.execute(held)}
    return found | standing_still(session, event, at)
