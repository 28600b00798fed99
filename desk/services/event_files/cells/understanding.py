"""From raw rows to rows: cells understood, keys once, references found."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from desk.errors import InputFault
from desk.services.event_files.raw import UNREADABLE, RawRow, RawTable, quoted
from desk.services.event_files.tables.spec import Around, CellFault, Column, Row, Table

_EXAMPLES = 6


def understand(table: Table, raw: RawTable, *, clock: Any, currency: str, faults: list[InputFault]) -> tuple[Row, ...]:
    """Return the rows of RAW; the faults of cells, rows and keys are added to FAULTS."""
    rows = tuple(_row(table, raw, raw_row, clock, currency, faults) for raw_row in raw.rows)
    for row in rows:
        if len(row.values) == len(table.columns):
            for check in table.checks:
                for fault in check(row):
                    where = raw.where(row.number, fault.column)
                    faults.append(InputFault(where=where, found=fault.found, expected=fault.expected))
    _check_keys(table, raw, rows, faults)
    return rows


def _row(table: Table, raw: RawTable, raw_row: RawRow, clock: Any, currency: str, faults: list[InputFault]) -> Row:
    around = Around(clock, currency, {})
    for column in table.columns:
        text = raw_row.cells.get(column.name, "")
        if text == UNREADABLE:
            continue
        try:
            around.values[column.name] = _value(column, text, around)
        except CellFault as fault:
            # A required column that is not there at all is one fault of the header, not one a row.
            if text or column.name in raw_row.cells or raw_row.number == 0:
                found = fault.found or (quoted(text) if text else "nothing")
                where = raw.where(raw_row.number, column.name)
                faults.append(InputFault(where=where, found=found, expected=fault.expected))
    return Row(raw_row.number, around.values)


def _value(column: Column, text: str, around: Around) -> Any:
    if text:
        return column.parse(text, around)
    if column.required:
        raise CellFault(f"{column.explanation[0].lower()}{column.explanation[1:]}, such as {quoted(column.example)}")
    return column.default


def _check_keys(table: Table, raw: RawTable, rows: Sequence[Row], faults: list[InputFault]) -> None:
    first: dict[tuple[Any, ...], int] = {}
    for row, raw_row in zip(rows, raw.rows, strict=True):
        if not table.key or any(row.get(name) is None for name in table.key):
            continue
        key = tuple(row[name] for name in table.key)
        if key in first:
            shown = ", ".join(quoted(raw_row.cells.get(name, "")) for name in table.key)
            where = raw.where(row.number, " + ".join(table.key))
            found = f"{shown} again after row {first[key]}"
            faults.append(InputFault(where=where, found=found, expected=table.duplicate_help))
        first.setdefault(key, row.number)


def check_references(
    table: Table,
    raw: RawTable,
    rows: Collection[Row],
    known: Mapping[str, Collection[Any]],
    faults: list[InputFault],
    *,
    missing: Collection[str] = (),
) -> None:
    """Check that every cell that names a row of another table names one that exists, but for tables in MISSING."""
    for column in table.columns:
        if not column.refers or column.refers in missing:
            continue
        targets = known[column.refers]
        for row in rows:
            value = row.get(column.name)
            if value is not None and value not in targets:
                where = raw.where(row.number, column.name)
                expected = a_known_one(column.refers, targets, value)
                faults.append(InputFault(where=where, found=f'"{value}"', expected=expected))


def of_table(name: str) -> str:
    """Say that a row of this table is expected."""
    return f"a row of the table {name}"


def a_known_one(table_name: str, targets: Collection[Any], value: object = "") -> str:
    """Say which values would do; the one that VALUE nearly is, where there is one."""
    if not targets:
        return f"{of_table(table_name)}, which has none"
    near = nearly(value, [str(target) for target in targets]) if isinstance(value, str) else ""
    if near:
        return f'{of_table(table_name)} (did you mean "{near}"?)'
    shown = [str(target) for target in list(targets)[:_EXAMPLES]]
    more = ", ..." if len(targets) > _EXAMPLES else ""
    return f"{of_table(table_name)}: {', '.join(shown)}{more}"


def nearly(value: str, targets: list[str]) -> str:
    """Return the one target that VALUE nearly is: other capitals, idle zeros, or one letter apart."""
    alike = [target for target in targets if _bare(target) == _bare(value)]
    alike = alike or difflib.get_close_matches(value, targets, n=2, cutoff=0.85)
    return alike[0] if len(alike) == 1 else ""


def _bare(code: str) -> str:
    return re.sub(r"\s|(?<!\d)0+(?=\d)", "", code.casefold())
