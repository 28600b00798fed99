"""Rehearsals in the records: made beside a request, kept, and the older ones let go."""

from __future__ import annotations

from typing import Any

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from desk.models import Rehearsal
from desk.services.acting import Acting, lock_event, write_log
from exports.rehearsal import RehearsalReport, as_plain

KEPT = 5
"""Rehearsals of one event that are kept; older ones go."""


def keep_rehearsal(
    session: Session, event_id: int, report: RehearsalReport, asked: dict[str, Any], *, acting: Acting
) -> Rehearsal:
    """Store a rehearsal."""
    event = lock_event(session, event_id)
    kept = Rehearsal(event_id=event_id, made_at=acting.at, by=acting.by, asked=asked, report=as_plain(report))
    session.add(kept)
    session.flush()
    newest = select(Rehearsal.id).where(Rehearsal.event_id == event_id).order_by(Rehearsal.id.desc()).limit(KEPT)
    old = set(session.scalars(select(Rehearsal.id).where(Rehearsal.event_id == event_id))) - set(
        session.scalars(newest)
    )
    session.execute(delete(Rehearsal).where(Rehearsal.id.in_(old)))
    write_log(session, event, acting, "event", f"Rehearsed {report.replications} times: {report.least_team}")
    return kept
