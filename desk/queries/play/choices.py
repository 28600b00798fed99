"""What a match may be given: a court, and the match whose winner plays."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Court, Match


def court_choices(session: Session, event_id: int) -> list[tuple[int, str]]:
    """Return (id, name) of the courts, in the order in which screens show them."""
    found = select(Court.id, Court.name).where(Court.event_id == event_id).order_by(Court.position)
    return [(row.id, row.name) for row in session.execute(found)]


def last_format(session: Session, event_id: int) -> str:
    """Return the format of the match that was added last; empty for the first one."""
    found = select(Match.format).where(Match.event_id == event_id).order_by(Match.id.desc()).limit(1)
    return session.scalar(found) or ""


def match_choices(session: Session, event_id: int, *, but: Match | None = None) -> list[tuple[int, str]]:
    """Return (id, code) of the matches, by code, without one that cannot wait for itself."""
    found = select(Match.id, Match.code).where(Match.event_id == event_id).order_by(Match.code)
    return [(row.id, row.code) for row in session.execute(found) if but is None or row.id != but.id]
