"""Finding a row by its number, and whether it belongs to the event at hand."""

from __future__ import annotations

from typing import Protocol, TypeVar, cast

from sqlalchemy import ColumnElement, Table, select
from sqlalchemy.orm import Session

from desk.errors import Conflict, NotFound
from desk.models import Base, Event, Player

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


def present_player(session: Session, event: Event, player_id: int) -> Player:
    """Return a player of the event whose personal data were not erased."""
    player = find_of(session, event, Player, player_id, "player")
    if player.erased_at is not None:
        raise Conflict(f"The personal data of {player.code} were erased; add the player anew.")
    return player


def in_event(table: Table, event_id: int) -> ColumnElement[bool] | None:
    """Return the condition that a row belongs to the event, by its own column or through the row that it refers to."""
    if "event_id" in table.c:
        return table.c.event_id == event_id
    for column in table.c:
        for key in () if column.nullable else column.foreign_keys:
            held = in_event(key.column.table, event_id)
            if held is not None:
                return column.in_(select(key.column.table.c.id).where(held))
    return None
