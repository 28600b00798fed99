"""Columns that several tables have, and those of one kind of value."""

from __future__ import annotations

from typing import Any

from desk.services.event_files.cells import cell_texts
from desk.services.event_files.cells.plain_cells import code, day, moment, money, one_of, time_of, words, yes_no
from desk.services.event_files.tables.spec import Column

DAY = Column("day", "Day of the event", "2031-05-12", day, required=True, refers="days", stored=None)
TIME = Column("time", "Time, HH:MM", "09:10", time_of, required=True, write=cell_texts.clock_time)
NOTE = Column("note", "Anything else", "", words(1000), default="")
COURT = Column("court", "Name of the court", "Court 1", words(), required=True, refers="courts", stored="court_id")


def key_code(what: str, example: str) -> Column:
    """The code by which other tables name a row of this one."""
    return Column("code", f"Short code of {what}", example, code, required=True)


def called(what: str, example: str) -> Column:
    """What a row is called."""
    return Column("name", what, example, words(), required=True)


def one_in(table: str, name: str, what: str, example: str = "", **more: Any) -> Column:
    """The code, or the name, of a row of another table."""
    return Column(name, what, example, words(), refers=table, **({"stored": f"{name}_id"} | more))


def hours(name: str, what: str, example: str) -> Column:
    """When something begins or ends on the row's day."""
    write = cell_texts.clock_time
    return Column(name, what, example, time_of, required=True, stored=f"{name}_at", write=write)


def whether(name: str, what: str, *, default: bool, **more: Any) -> Column:
    """Yes or no."""
    example = "yes" if default else "no"
    return Column(name, f"{what}: yes or no", example, yes_no, default=default, **more)


def price_of(name: str, what: str, example: str, **more: Any) -> Column:
    """An amount in the event's currency."""
    return Column(name, what, example, money, stored=f"{name}_minor", write=cell_texts.amount, **more)


def until(name: str, what: str, example: str = "") -> Column:
    """A time of the row's day, or a day and a time."""
    return Column(name, what, example, moment)


def choice(name: str, what: str, allowed: tuple[str, ...], example: str, **more: Any) -> Column:
    """One of a few words; WHAT comes before them."""
    listed = f"{', '.join(allowed[:-1])} or {allowed[-1]}"
    return Column(name, f"{what}{listed}", example, one_of(*allowed), **more)
