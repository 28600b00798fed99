"""The events of this installation, and who strings at one."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import NotFound
from desk.models import Contact, Event, EventDay, Machine, Stringer


@dataclass(frozen=True)
class EventLine:
    """One event to choose."""

    id: int
    slug: str
    name: str
    town: str
    status: str
    first_day: date | None
    last_day: date | None


def list_events(session: Session, *, only_id: int | None = None) -> list[EventLine]:
    """Return the events, the newest first; an account of one event sees that one."""
    found = (
        select(
            Event.id, Event.slug, Event.name, Event.town, Event.status, func.min(EventDay.date), func.max(EventDay.date)
        )
        .outerjoin(EventDay, EventDay.event_id == Event.id)
        .group_by(Event.id)
        .order_by(func.min(EventDay.date).desc(), Event.id.desc())
    )
    if only_id is not None:
        found = found.where(Event.id == only_id)
    return [EventLine(*row) for row in session.execute(found)]


def only_open_event(session: Session) -> int | None:
    """Return the one event that is open, or None where there are none or several."""
    open_ids = session.scalars(select(Event.id).where(Event.status == "open").limit(2)).all()
    return open_ids[0] if len(open_ids) == 1 else None


def stringer_names(session: Session, event_id: int) -> list[tuple[int, str]]:
    """Return (id, name) of everybody who strings at the event, in the desk's order."""
    found = select(Stringer.id, Stringer.name).where(Stringer.event_id == event_id)
    return [(row.id, row.name) for row in session.execute(found.order_by(Stringer.position, Stringer.id))]


def names_by_id(session: Session, event: Event, table: type[Stringer | Machine | Contact]) -> dict[int, str]:
    """Return the names of the event's stringers, machines or contacts by id."""
    return dict(session.execute(select(table.id, table.name).where(table.event_id == event.id)).all())


def event_by_slug(session: Session, slug: str) -> Event:
    """Return the event with that short name, or say which there are."""
    event = session.scalar(select(Event).where(Event.slug == slug))
    if event is not None:
        return event
    there = session.scalars(select(Event.slug).order_by(Event.slug)).all()
    known = f"there are: {', '.join(there)}" if there else "there is none yet; import one first"
    raise NotFound(f"There is no event {slug!r}; {known}.")
