"""Which rows belong to an event, found by walking the schema, and their values as plain JSON."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from functools import cache
from typing import Any

from sqlalchemy import JSON, Boolean, Column, Date, Float, Integer, Select, Table, select
from sqlalchemy.types import TypeEngine

from desk.models import (
    Account,
    Assignment,
    Base,
    Event,
    PlannerBeat,
    PlannerLease,
    PlanRun,
    RehearsalRun,
    Secret,
    SentForm,
    SignedSession,
    TrustedDevice,
    Word,
    WordSender,
    WordWay,
)
from desk.models.base import DecimalText, UtcDateTime
from desk.queries.finding import in_event

_OF_THE_INSTALLATION = (Account, TrustedDevice, Secret, SignedSession, SentForm, PlannerBeat, WordSender)
_TOLD_HERE = (WordWay, Word)
_MADE_ANEW = (PlannerLease, PlanRun, Assignment, RehearsalRun)
LEFT_OUT = {table.__tablename__ for table in (*_OF_THE_INSTALLATION, *_TOLD_HERE, *_MADE_ANEW)}
"""Who may sign in belongs to the installation, by which ways persons are told never leaves it, plan and rehearsal are
made anew."""

WITHOUT_KEY = {"match_change.from_day_id": "event_day", "match_change.from_court_id": "court"}
"""Columns that hold the number of a row without a foreign key (see `MatchChange`)."""

EVENT: Table = Event.__table__  # type: ignore[assignment]
NOT_OF_THE_EVENT = {"id", "slug", "current_run_id", "planned_change_number"}


def target_of(column: Column[Any]) -> str | None:
    """Return the table that a column refers to."""
    for key in column.foreign_keys:
        return key.column.table.name
    return WITHOUT_KEY.get(f"{column.table.name}.{column.name}")


@cache
def tables_of_event() -> list[Table]:
    """Return the tables that hold rows of one event, each after those that it refers to."""
    tables = Base.metadata.sorted_tables
    return [table for table in tables if table.name not in LEFT_OUT and in_event(table, 0) is not None]


def rows_of(table: Table, event_id: int) -> Select[Any]:
    """Return the statement for the rows of TABLE that belong to the event, in the order in which they came."""
    return select(table).where(in_event(table, event_id)).order_by(table.c.id)


def to_plain(value: Any) -> Any:
    """Return a value as JSON can hold it."""
    if isinstance(value, datetime | date):
        return value.isoformat()
    return str(value) if isinstance(value, Decimal) else value


def from_plain(column: Column[Any], value: Any) -> Any:
    """Return the value of COLUMN that was written as plain JSON, or raise ValueError."""
    if value is None:
        return None
    for kind, read in _READERS:
        if isinstance(column.type, kind):
            return read(value)
    return _text(value)


def _text(value: Any) -> str:
    if not isinstance(value, str) or "\x00" in value:
        raise ValueError("a text")
    return value


def _moment(value: Any) -> datetime:
    found = datetime.fromisoformat(_text(value))
    if found.tzinfo is None:
        raise ValueError("a time with its zone")
    return found


def _decimal(value: Any) -> Decimal:
    try:
        return Decimal(_text(value))
    except InvalidOperation as error:
        raise ValueError("a decimal number") from error


def _number(*kinds: type) -> Callable[[Any], Any]:
    def read(value: Any) -> Any:
        if not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds) or abs(value) >= 2**63:
            raise ValueError("a number")
        return value

    return read


_READERS: tuple[tuple[type[TypeEngine[Any]] | type, Callable[[Any], Any]], ...] = (
    (UtcDateTime, _moment),
    (Date, lambda value: date.fromisoformat(_text(value))),
    (DecimalText, _decimal),
    (JSON, lambda value: value),
    (Boolean, _number(bool)),
    (Integer, _number(int)),
    (Float, _number(int, float)),
)
