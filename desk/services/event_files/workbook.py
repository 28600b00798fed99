"""Reading a workbook, one sheet a table, into the raw rows that CSV files give."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from typing import Any

from openpyxl import load_workbook
from openpyxl.cell import Cell
from openpyxl.worksheet.worksheet import Worksheet

from desk.errors import InputFault
from desk.services.event_files.raw import UNREADABLE, RawRow, RawTable, clean, quoted, to_raw_table, value_text
from desk.services.event_files.tables.spec import Table
from desk.services.event_files.workbook_limits import EVENT, size_problem
from exports.files.template import GUIDE

_NO_WORKBOOK = "a workbook saved as .xlsx"


def read_workbook(
    data: bytes, label: str, tables: Mapping[str, Table], faults: list[InputFault]
) -> dict[str, RawTable]:
    """Return the raw rows of every sheet that is a table; sheets that begin with # are notes.

    The sheet `event` has the columns setting and value, or a column for each setting and one row.
    """
    found: dict[str, RawTable] = {}
    for sheet in _sheets(data, label, faults):
        name = sheet.title.strip().casefold()
        place = f"{label} sheet {sheet.title}"
        if name.startswith("#") or sheet.title == GUIDE:
            continue
        if name == "event" and _is_list(sheet):
            found[name] = _settings(sheet, place, faults)
        elif name in tables:
            found[name] = to_raw_table(tables[name], place, _grid(sheet, place, faults), faults)
        else:
            expected = "only the sheets " + ", ".join(tables) + "; begin the name of a sheet of notes with #"
            faults.append(InputFault(where=place, found="a sheet of an unknown name", expected=expected))
    return found


def sheet_table(table: Table, data: bytes, label: str, faults: list[InputFault]) -> RawTable:
    """Return the raw rows of one table: the sheet of its name, or the only sheet of the workbook."""
    sheets = _sheets(data, label, faults)
    named = [sheet for sheet in sheets if sheet.title.strip().casefold() == table.name] or sheets[:1]
    if not named:
        return RawTable(label)
    place = f"{label} sheet {named[0].title}"
    return to_raw_table(table, place, _grid(named[0], place, faults), faults)


def _sheets(data: bytes, label: str, faults: list[InputFault]) -> list[Worksheet]:
    problem = size_problem(data, EVENT)
    if not problem:
        try:
            return list(load_workbook(io.BytesIO(data)).worksheets)
        # A damaged workbook makes the reader fail in any way; each means the same to the user.
        except Exception as error:
            problem = f"a file that is no workbook or a damaged one ({type(error).__name__})"
    faults.append(InputFault(where=label, found=problem, expected=_NO_WORKBOOK))
    return []


def _is_list(sheet: Worksheet) -> bool:
    header = [clean(str(cell.value or "")).casefold() for cell in next(sheet.iter_rows(max_row=1), ())]
    return "setting" in header or not any(header)


def _settings(sheet: Worksheet, place: str, faults: list[InputFault]) -> RawTable:
    cells: dict[str, str] = {}
    for number, row in _grid(sheet, place, faults):
        name, value = (*row, "", "")[:2]
        key = "_".join(name.casefold().split())
        if not name or name.startswith("#") or key == "setting":
            continue
        if key in cells:
            found = f"the setting {quoted(name)} twice"
            faults.append(InputFault(where=f"{place} row {number}", found=found, expected="it once"))
        if value:
            cells[key] = value
    if not cells:
        faults.append(InputFault(where=place, found="nothing in it", expected="rows of setting and value"))
    return RawTable(place, [RawRow(0, cells)] if cells else [])


def _grid(sheet: Worksheet, place: str, faults: list[InputFault]) -> Iterator[tuple[int, list[str]]]:
    merged = _merged(sheet, place, faults)
    for number, row in enumerate(sheet.iter_rows(), start=1):
        if str(row[0].value or "").lstrip().startswith("#"):
            continue
        yield number, [_text(cell, place, merged, faults) for cell in row]


def _merged(sheet: Worksheet, place: str, faults: list[InputFault]) -> set[tuple[int, int]]:
    inside: set[tuple[int, int]] = set()
    for span in sheet.merged_cells.ranges:
        if str(sheet.cell(span.min_row, 1).value or "").startswith("#"):
            continue
        inside.update(span.cells)
        found = f"merged cells {span.coord}"
        faults.append(InputFault(where=place, found=found, expected="one value in each cell: unmerge them"))
    return inside


def _text(cell: Any, place: str, merged: set[tuple[int, int]], faults: list[InputFault]) -> str:
    if (cell.row, cell.column) in merged:
        return UNREADABLE
    if isinstance(cell, Cell) and cell.data_type in ("f", "e"):
        what = "a formula" if cell.data_type == "f" else f"the error {cell.value}"
        expected = "a plain value: copy the column and paste it as values"
        faults.append(InputFault(where=f"{place}, cell {cell.coordinate}", found=what, expected=expected))
        return UNREADABLE
    return value_text(cell.value)
