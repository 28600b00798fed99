"""Finding a row by its number, and that it belongs to the event at hand."""

from __future__ import annotations

from typing import Protocol, TypeVar, cast

from sqlalchemy.orm import Session

from desk.errors import NotFound
from desk.models import Base, Event

Row = TypeVar("Row", bound=Base)


class _OfEvent(Protocol):
    event_id: int


def find(session: Session, table: type[Row], row_id: int, what: str) -> Row:
    """Return the row of TABLE with that id, or say that WHAT is not there."""
    row = session.get(table, row_id)
    if row is None:
        raise NotFound(f"This {what} is not in the records (any more); go back and look it up again.")
    return row


def find_of(session: Session, event: Event, table: type[Row], row_id: int, what: str) -> Row:
    """Return the row of TABLE with that id, or say that this event has no such WHAT."""
    row = find(session, table, row_id, what)
    if cast("_OfEvent", row).event_id != event.id:
        raise NotFound(f"This {what} belongs to another event; go back and look it up again.")
    return row
