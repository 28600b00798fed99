"""Sister racquets: same player, same card, same day; they should feel the same."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, EventDay, Job, JobCard

CARD_FIELDS = (
    "mains_string_id",
    "crosses_string_id",
    "mains_tension",
    "crosses_tension",
    "tension_unit",
    "pieces",
    "mains_pre_stretch",
    "crosses_pre_stretch",
)


def sisters_of(session: Session, event: Event, job: Job) -> list[Job]:
    """Return the strung jobs of the same player and card that were started on the same day of the event."""
    same_card = [getattr(JobCard, name) == getattr(job.card, name) for name in CARD_FIELDS]
    day = session.scalar(
        select(EventDay)
        .where(EventDay.event_id == event.id, EventDay.opens_at <= job.started_at)
        .order_by(EventDay.opens_at.desc())
        .limit(1)
    )
    found = (
        select(Job)
        .join(Job.card)
        .where(
            Job.event_id == event.id,
            Job.player_id == job.player_id,
            Job.id != job.id,
            Job.state.in_(("strung", "handed_over")),
            *same_card,
        )
    )
    if day is not None:
        found = found.where(Job.started_at >= day.opens_at)
    return list(session.scalars(found))


def unlike_sisters(session: Session, event: Event, job: Job) -> list[Job]:
    """Return the sisters whose stiffness differs by more than the event's tolerance."""
    if job.stiffness is None:
        return []
    return [
        sister
        for sister in sisters_of(session, event, job)
        if sister.stiffness is not None and abs(sister.stiffness - job.stiffness) > event.stiffness_tolerance
    ]
