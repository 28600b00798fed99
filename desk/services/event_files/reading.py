"""Reading a whole event, folder or workbook, with every fault that it has."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from desk.errors import BadInput, InputFault, count_of
from desk.services.event_files.cells.following import roots_first, without_followers
from desk.services.event_files.cells.names_to_codes import codes_by_name, with_codes
from desk.services.event_files.cells.understanding import check_references, understand
from desk.services.event_files.cells.whole_checks import Raws, Rows, whole_faults
from desk.services.event_files.day_rules import remarks
from desk.services.event_files.folder import SETTINGS_FILE, read_folder
from desk.services.event_files.raw import RawTable
from desk.services.event_files.tables.all_tables import BY_NAME, TABLES
from desk.services.event_files.tables.spec import Row
from desk.services.event_files.workbook import read_workbook
from desk.trade.event.event_time import EventClock


@dataclass(frozen=True)
class EventFiles:
    """An event that was read without a fault.

    Attributes
    ----------
    source : str
        Name of the folder or workbook.
    tables : mapping of str to tuple of Row
        The rows of every table, the empty ones too; times are UTC.
    clock : EventClock
        The event's own clock.
    remarks : tuple of InputFault
        What the days' own rules would refuse or ask about later.
    """

    source: str
    tables: Mapping[str, tuple[Row, ...]]
    clock: EventClock
    remarks: tuple[InputFault, ...] = ()

    @property
    def settings(self) -> Row:
        return self.tables["event"][0]


def read_event(path: Path | str) -> EventFiles:
    """Return the event in the folder or workbook PATH.

    Refused with every fault: file, row, column, what was found and what is expected.
    """
    path = Path(path)
    faults: list[InputFault] = []
    raws = _read_raw(path, faults)
    if raws:
        _check_tables(path.name, raws, faults)
    raws, rows, clock = _understand(raws, faults)
    if not faults:
        return EventFiles(path.name, rows, clock, tuple(remarks(rows, raws, clock)))
    faults = roots_first(without_followers(TABLES, faults, rows, raws), raws)
    said = f"{path.name} has {count_of(faults)}; nothing was stored. Correct them and import again."
    raise BadInput(said, faults=faults)


def _read_raw(path: Path, faults: list[InputFault]) -> dict[str, RawTable]:
    if path.is_dir():
        return read_folder(path, BY_NAME, faults)
    if path.is_file():
        return read_workbook(path.read_bytes(), path.name, BY_NAME, faults)
    expected = f"a folder with {SETTINGS_FILE} and CSV tables, or a workbook (.xlsx)"
    faults.append(InputFault(where=str(path), found="nothing there", expected=expected))
    return {}


def _check_tables(name: str, raws: dict[str, RawTable], faults: list[InputFault]) -> None:
    unreadable = {fault.where for fault in faults}
    for table in TABLES:
        raw = raws.get(table.name)
        if not table.required or (raw and (raw.rows or raw.label in unreadable)):
            continue
        where, found = (raw.label, "no rows below the header") if raw else (name, f"no table {table.name}")
        faults.append(InputFault(where=where, found=found, expected=table.explanation))


def _understand(raws: Raws, faults: list[InputFault]) -> tuple[Raws, Rows, EventClock]:
    raws = {table.name: raws.get(table.name, RawTable(table.name)) for table in TABLES}
    names = {table.name: _names(raws[table.name]) for table in TABLES if {"code", "name"} <= table.by_name.keys()}
    raws = {table.name: with_codes(table, raws[table.name], names, faults) for table in TABLES}
    clock, currency = EventClock("UTC", date(2000, 1, 1)), "EUR"
    rows: dict[str, tuple[Row, ...]] = {}
    for table in TABLES:
        rows[table.name] = understand(table, raws[table.name], clock=clock, currency=currency, faults=faults)
        if table.name == "event" and rows["event"]:
            settings = rows["event"][0]
            if len(rows["event"]) > 1:
                where = raws["event"].where(rows["event"][1].number)
                faults.append(InputFault(where=where, found="a second event", expected="one row of settings"))
            clock = EventClock(settings.get("time_zone") or "UTC", clock.first_day)
            currency = settings.get("currency") or currency
        if table.name == "days":
            dates = [row["date"] for row in rows["days"] if row.get("date")]
            clock = EventClock(clock.zone, min(dates, default=clock.first_day))
    _check_between(rows, raws, faults)
    return raws, rows, clock


def _names(raw: RawTable) -> dict[str, list[str]]:
    named = [(row.cells.get("code", ""), row.cells.get("name", "")) for row in raw.rows]
    return codes_by_name((code, name) for code, name in named if code and name)


def _check_between(rows: dict[str, tuple[Row, ...]], raws: dict[str, RawTable], faults: list[InputFault]) -> None:
    known = {table.name: _keys(rows[table.name], table.key) for table in TABLES if table.key}
    # A required table without rows is a fault already: its names are not missed one by one as well.
    missing = {table.name for table in TABLES if table.required and not rows[table.name]}
    for table in TABLES:
        check_references(table, raws[table.name], rows[table.name], known, faults, missing=missing)
    faults.extend(whole_faults(rows, raws))


def _keys(rows: tuple[Row, ...], key: tuple[str, ...]) -> dict[Any, None]:
    return {row[key[0]]: None for row in rows if row.get(key[0]) is not None}
