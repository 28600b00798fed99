"""Faults that come from another fault, and the order in which faults are best mended."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from desk.errors import InputFault
from desk.services.event_files.cells.names_to_codes import SIDES
from desk.services.event_files.cells.understanding import nearly, of_table
from desk.services.event_files.cells.whole_checks import Raws, Rows
from desk.services.event_files.raw import RawTable
from desk.services.event_files.tables.spec import Row, Table

_ROOTS_FIRST = (
    *("event", "days", "courts", "stringers", "shifts", "machines", "service_hours", "machine_checks"),
    *("strings", "reels", "prices", "house_times", "players", "contacts", "contact_players", "pay_rules"),
    *("frames", "matches", "dropoffs", "incidents", "calibrations"),
)


def roots_first(faults: Sequence[InputFault], raws: Raws) -> list[InputFault]:
    """Return the faults of a whole table or file, then those of each table after the ones that its rows name."""

    def rank(fault: InputFault) -> int:
        tables = [name for name, raw in raws.items() if fault.where.startswith((f"{raw.label} row", f"{raw.label},"))]
        return 1 + _ROOTS_FIRST.index(tables[0]) if tables else 0

    return sorted(faults, key=rank)


def without_followers(
    tables: Sequence[Table], faults: Sequence[InputFault], rows: Rows, raws: Raws
) -> list[InputFault]:
    """Return the faults that are their own; one that repeats what a key was refused for names that as its cause.

    A row is not missed where the row that it names was refused.
    """
    refused = {table.name: _refused(table, rows[table.name], raws[table.name]) for table in tables if table.key}
    told = {fault.where: fault for fault in faults}
    kept = {id(fault): fault for fault in faults}
    for table in tables:
        for target, where, texts in _naming(table, rows[table.name], raws[table.name], refused):
            fault = told.get(where)
            if fault is None:
                continue
            causes = [told[place] for text, place in refused[target] if text in texts and place in told]
            if causes:
                kept[id(fault)] = replace(fault, expected=causes[0].expected, cause=causes[0].where)
            elif fault.expected.startswith(of_table(target)) and _may_mean(target, texts, refused[target]):
                del kept[id(fault)]
    return list(kept.values())


def _refused(table: Table, rows: Sequence[Row], raw: RawTable) -> list[tuple[str, str]]:
    """Return the text and the place of each key that was not understood."""
    key = table.key[0]
    return [
        (raw_row.cells.get(key, ""), raw.where(row.number, key))
        for row, raw_row in zip(rows, raw.rows, strict=True)
        if key not in row.values
    ]


def _naming(
    table: Table, rows: Sequence[Row], raw: RawTable, refused: dict[str, list[tuple[str, str]]]
) -> Iterator[tuple[str, str, list[str]]]:
    """Yield each cell that names rows of a table with refused keys: that table, the place, the names."""
    for column in table.columns:
        target = "players" if column.name in SIDES else column.refers
        if not refused.get(target):
            continue
        for row, raw_row in zip(rows, raw.rows, strict=True):
            names = [part.strip() for part in raw_row.cells.get(column.name, "").split("/")]
            yield target, raw.where(row.number, column.name), names


def _may_mean(target: str, names: Sequence[str], refused: Sequence[tuple[str, str]]) -> bool:
    """A day may mean any day that was refused; a code one that is empty or nearly the same."""
    return target == "days" or any(not text or nearly(name, [text]) for name in names for text, _ in refused)
