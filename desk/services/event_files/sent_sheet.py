"""One table that somebody sent, for an event in the records: every fault listed, nothing stored here."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, InputFault, count_of
from desk.models import Court, Event, Frame, Player, StringType
from desk.queries.row_making import grouped
from desk.services.event_files.apart import read_apart
from desk.services.event_files.cells.names_to_codes import codes_by_name, with_codes
from desk.services.event_files.cells.understanding import check_references, understand
from desk.services.event_files.raw import RawRow, RawTable
from desk.services.event_files.tables.spec import Row, Table
from desk.trade.event.event_time import EventClock


@dataclass(frozen=True, kw_only=True)
class ReadRows:
    """The sound rows of a sheet, all of it as it was written, and the faults of the others by number."""

    rows: tuple[Row, ...]
    raw: RawTable
    faults: Mapping[int, tuple[InputFault, ...]]


Check = Callable[[tuple[Row, ...], RawTable], Iterable[InputFault]]


def read_rows(
    session: Session, event: Event, table: Table, *, data: bytes, file_name: str, what: str, check: Check
) -> ReadRows:
    """Return the sound rows of a CSV file or workbook with the columns of TABLE, and the faults of each other row.

    Refused as a whole where the file or its header cannot be read. `read_sheet` takes all rows or none.
    """
    faults: list[InputFault] = []
    raw = read_apart(table, data, file_name, faults)
    if not raw.rows and not faults:
        faults.append(InputFault(where=file_name, found="no rows", expected=f"a row for each {what}"))
    if faults:
        said = f"{file_name} has {count_of(faults)}; no {what} was taken in. Correct them and try again."
        raise BadInput(said, faults=faults)
    names = {"players": codes_by_name(players_of(session, event))}
    clock, known = EventClock(event.time_zone, event.days[0].date), _known(session, event)

    def understood(some: list[RawRow], found: list[InputFault]) -> tuple[Row, ...]:
        coded = with_codes(table, RawTable(raw.label, some), names, found)
        rows = understand(table, coded, clock=clock, currency=event.currency, faults=found)
        check_references(table, coded, rows, known, found)
        found.extend(check(rows, coded))
        return rows

    of_row: dict[int, tuple[InputFault, ...]] = {}
    for row in raw.rows:
        understood([row], mine := [])
        if mine:
            of_row[row.number] = tuple(mine)
    # What is wrong between sound rows is the fault of the later one: it stands alone as soon as that one is out.
    while True:
        sound = [row for row in raw.rows if row.number not in of_row]
        rows = understood(sound, between := [])
        if not between:
            return ReadRows(rows=rows, raw=raw, faults=of_row)
        at_row = re.compile(rf"{re.escape(raw.label)} row (\d+)\b")
        for number, mine in grouped((int(at_row.match(one.where)[1]), one) for one in between).items():
            of_row[number] = tuple(mine)


def read_sheet(
    session: Session,
    event: Event,
    table: Table,
    *,
    data: bytes,
    file_name: str,
    what: str,
    check: Check,
    news: Iterable[str] = (),
) -> tuple[Row, ...]:
    """Return the rows of a CSV file or workbook with the columns of TABLE; WHAT each of them is, in one word.

    A player may stand with code or with name; CHECK finds what is wrong between rows, and NEWS are tables whose rows
    the file may name first. Refused with every fault: file, row, column, what was found and what is expected.
    """
    faults: list[InputFault] = []
    names = {"players": codes_by_name(players_of(session, event))}
    raw = with_codes(table, read_apart(table, data, file_name, faults), names, faults)
    clock = EventClock(event.time_zone, event.days[0].date)
    rows = understand(table, raw, clock=clock, currency=event.currency, faults=faults)
    known = _known(session, event)
    missing = [name for name in news if not known[name]]
    check_references(table, raw, rows, known, faults, missing=missing)
    faults.extend(check(rows, raw))
    if not rows and not faults:
        faults.append(InputFault(where=file_name, found="no rows", expected=f"a row for each {what}"))
    if faults:
        said = f"{file_name} has {count_of(faults)}; no {what} was taken in. Correct them and try again."
        raise BadInput(said, faults=faults)
    return rows


def players_of(session: Session, event: Event) -> list[tuple[str, str]]:
    """Return (code, name) of the players, those whose data were erased left out."""
    found = select(Player.code, Player.name).where(Player.event_id == event.id, Player.erased_at.is_(None))
    return [(code, name) for code, name in session.execute(found.order_by(Player.code))]


def _known(session: Session, event: Event) -> dict[str, dict[Any, None]]:
    columns = {"players": Player.code, "frames": Frame.code, "strings": StringType.code, "courts": Court.name}
    known: dict[str, dict[Any, None]] = {
        table: dict.fromkeys(session.scalars(select(column).where(column.class_.event_id == event.id).order_by(column)))
        for table, column in columns.items()
    }
    return known | {"days": dict.fromkeys(day.date for day in event.days)}
