"""The rows of a sheet between two looks: carried along by the page, corrected in it, written as CSV to be read."""

from __future__ import annotations

import csv
import json
from collections.abc import Collection, Mapping
from io import StringIO

from desk.services.event_files.tables.spec import Table

CELL = "cell"
Rows = dict[int, dict[str, str]]


def carried(rows: Mapping[int, Mapping[str, str]]) -> str:
    """Return the rows as the page carries them."""
    return json.dumps({number: dict(cells) for number, cells in rows.items()})


def brought(text: str, table: Table) -> Rows:
    """Return the rows that a page brought back; what nobody carried so is left out."""
    try:
        found = json.loads(text)
    except ValueError:
        return {}
    if not isinstance(found, dict):
        return {}
    return {
        int(number): {name: str(cell) for name, cell in cells.items() if name in table.by_name}
        for number, cells in found.items()
        if number.isdecimal() and len(number) < 7 and isinstance(cells, dict)
    }


def field_name(number: int, column: str) -> str:
    """Return the name of the field in which a cell is corrected."""
    return f"{CELL}-{number}-{column}"


def corrected(rows: Rows, typed: Mapping[str, str]) -> Rows:
    """Return the rows with what was typed in the fields of their cells."""
    return {
        number: cells
        | {
            name: text
            for name, text in ((key.partition(f"{CELL}-{number}-")[2], text) for key, text in typed.items())
            if name
        }
        for number, cells in rows.items()
    }


def without(rows: Mapping[int, Mapping[str, str]], numbers: Collection[int]) -> Rows:
    return {number: dict(cells) for number, cells in rows.items() if number not in numbers}


def as_csv(rows: Rows, table: Table) -> bytes:
    """Return a CSV file in which each row stands at its number; the rows between are empty."""
    out = StringIO()
    writer, names = csv.writer(out, lineterminator="\n"), list(table.by_name)
    writer.writerow(names)
    for number in range(2, max(rows, default=1) + 1):
        cells = [rows[number].get(name, "") for name in names] if number in rows else []
        # A row whose first cell begins with # would be read as a remark, and be forgotten.
        writer.writerow([cell if at else cell.lstrip("#") for at, cell in enumerate(cells)])
    return out.getvalue().encode()
