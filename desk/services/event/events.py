"""Finding an event by its short name."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import NotFound
from desk.models import Event


def event_by_slug(session: Session, slug: str) -> Event:
    """Return the event with that short name, or say which there are."""
    event = session.scalar(select(Event).where(Event.slug == slug))
    if event is not None:
        return event
    there = session.scalars(select(Event.slug).order_by(Event.slug)).all()
    known = f"there are: {', '.join(there)}" if there else "there is none yet; import one first"
    raise NotFound(f"There is no event {slug!r}; {known}.")
