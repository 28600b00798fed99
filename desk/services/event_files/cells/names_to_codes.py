"""Rows by name: a cell that asks for a code may hold the name instead."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from desk.errors import InputFault
from desk.services.event_files.raw import UNREADABLE, RawRow, RawTable, quoted
from desk.services.event_files.tables.spec import Column, Table
from desk.trade.event.names import search_name

SIDES = ("side1", "side2")

Names = Mapping[str, Mapping[str, list[str]]]
"""For each table the codes by the name as it is searched."""


def codes_by_name(rows: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    """Return the codes of (code, name) by the name as it is searched; a code that is also a name stays that code."""
    rows = list(rows)
    codes: dict[str, list[str]] = {}
    for code, name in rows:
        codes.setdefault(search_name(name), []).append(code)
    return codes | {search_name(code): [code] for code, _ in rows if search_name(code) in codes}


def with_codes(table: Table, raw: RawTable, names: Names, faults: list[InputFault]) -> RawTable:
    """Put the code where a name stands; a name of several rows is a fault that lists their codes."""
    targets = {column.name: _target(column) for column in table.columns if _target(column) in names}

    def mended(row: RawRow) -> RawRow:
        cells = {name: in_code(row, name) for name in targets if row.cells.get(name)}
        return RawRow(row.number, row.cells | cells)

    def in_code(row: RawRow, column: str) -> str:
        text, target = row.cells[column], targets[column]
        parts = []
        for part in text.split("/") if target == "players" else [text]:
            named = names[target].get(search_name(part), [])
            if len(named) > 1:
                expected = f"one of the codes of the {target} of this name: {', '.join(named)}"
                faults.append(
                    InputFault(where=raw.where(row.number, column), found=quoted(part.strip()), expected=expected)
                )
                return UNREADABLE
            parts.append(named[0] if named else part.strip())
        return " / ".join(parts)

    return RawTable(raw.label, [mended(row) for row in raw.rows])


def _target(column: Column) -> str:
    return "players" if column.name in SIDES else column.refers
