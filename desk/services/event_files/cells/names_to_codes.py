"""Players by name: a cell that asks for a player's code may hold the name instead."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from desk.errors import InputFault
from desk.services.event_files.raw import UNREADABLE, RawRow, RawTable, quoted
from desk.services.event_files.tables.spec import Table
from desk.trade.event.names import search_name

_SIDES = ("side1", "side2")


def codes_by_name(players: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    """Return the codes of (code, name) by the name as it is searched."""
    codes: dict[str, list[str]] = {}
    for code, name in players:
        codes.setdefault(search_name(name), []).append(code)
    return codes


def with_codes(table: Table, raw: RawTable, codes: Mapping[str, list[str]], faults: list[InputFault]) -> RawTable:
    """Put the code where a player's name stands; a name of several players is a fault that lists their codes."""
    columns = [column.name for column in table.columns if column.refers == "players" or column.name in _SIDES]

    def mended(row: RawRow) -> RawRow:
        cells = {name: in_code(row, name) for name in columns if row.cells.get(name)}
        return RawRow(row.number, row.cells | cells)

    def in_code(row: RawRow, column: str) -> str:
        parts = []
        for part in row.cells[column].split("/"):
            named = codes.get(search_name(part), [])
            if len(named) > 1:
                expected = f"one of the codes of the players of this name: {', '.join(named)}"
                faults.append(
                    InputFault(where=raw.where(row.number, column), found=quoted(part.strip()), expected=expected)
                )
                return UNREADABLE
            parts.append(named[0] if named else part.strip())
        return " / ".join(parts)

    return RawTable(raw.label, [mended(row) for row in raw.rows])
