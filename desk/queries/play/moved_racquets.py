"""Which racquets are needed sooner or later than before, and why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Job, LogEntry, Player

URGENT, RELAXED = "needed sooner", "needed later"
"""Subjects of the log under which a moved needed-by time is told."""


@dataclass(frozen=True, kw_only=True)
class MovedRacquet:
    """A racquet whose needed-by time moved, and why."""

    job_id: int | None
    code: str
    player: str
    at: datetime
    is_urgent: bool
    why: str


def moved_racquets(session: Session, event: Event, since: datetime, *, limit: int = 50) -> list[MovedRacquet]:
    """Return the racquets whose needed-by time moved since a moment, the newest first."""
    found = (
        select(LogEntry, Job.code, Player.called)
        .outerjoin(Job, Job.id == LogEntry.job_id)
        .outerjoin(Player, Player.id == Job.player_id)
        .where(LogEntry.event_id == event.id, LogEntry.at >= since, LogEntry.subject.in_((URGENT, RELAXED)))
        .order_by(LogEntry.id.desc())
        .limit(limit)
    )
    return [
        MovedRacquet(
            job_id=entry.job_id,
            code=code or "",
            player=player or "",
            at=entry.at,
            is_urgent=entry.subject == URGENT,
            why=entry.text,
        )
        for entry, code, player in session.execute(found)
    ]
