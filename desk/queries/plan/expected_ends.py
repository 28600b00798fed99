"""The ends of outages and absences that are expected, while nobody has said that they have come."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select, union_all
from sqlalchemy.orm import Session

from desk.models import Absence, Event, Machine, Outage, Stringer
from desk.trade.play.expected import moved_on_at


def expected_ends(session: Session, event: Event) -> list[datetime]:
    """Return when each machine that is out and each stringer who is away is expected back."""
    outages = (
        select(Outage.to_at)
        .join(Machine, Machine.id == Outage.machine_id)
        .where(Machine.event_id == event.id, Outage.over.is_(False), Outage.to_at.is_not(None))
    )
    absences = (
        select(Absence.to_at)
        .join(Stringer, Stringer.id == Absence.stringer_id)
        .where(Stringer.event_id == event.id, Absence.over.is_(False), Absence.to_at.is_not(None))
    )
    return [at for at in session.scalars(union_all(outages, absences)) if at is not None]


def moved_on(session: Session, event: Event, at: datetime) -> datetime | None:
    """Return when an expectation last passed unheard, up to AT."""
    passed = (moved_on_at(end, at) for end in expected_ends(session, event))
    return max((one for one in passed if one is not None), default=None)
