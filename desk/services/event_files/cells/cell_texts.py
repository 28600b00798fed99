"""How the values of records stand in cells, where their type alone does not say it."""

from __future__ import annotations

from datetime import date, datetime

from desk.services.event_files.raw import value_text
from desk.services.event_files.tables.spec import Around, Write
from desk.trade.event.event_time import EventClock
from desk.trade.event.money import Money, per_cent_of


def with_unit(unit: str) -> Write:
    """A value with its unit."""
    return lambda value, _around: "" if value is None else f"{value_text(value)} {unit}"


def amount(minor: int | None, around: Around) -> str:
    """An amount in the currency itself; nothing where there is none."""
    return "" if minor is None else f"{Money(minor, around.currency).major:f}"


def per_cent(basis_points: int | None, _around: Around) -> str:
    """Hundredths of a per cent as per cent; nothing where there are none."""
    return "" if basis_points is None else f"{per_cent_of(basis_points):f}"


def clock_time(at: datetime | None, around: Around) -> str:
    """HH:MM as of the row's day: half past midnight is 24:30."""
    return "" if at is None else hhmm(around.clock, at, around.values.get("day") or around.values["date"])


def hhmm(clock: EventClock, at: datetime, day: date) -> str:
    """HH:MM as of DAY's play."""
    local = clock.local(at)
    return f"{local.hour + 24 * (local.date() - day).days:02}:{local.minute:02}"
