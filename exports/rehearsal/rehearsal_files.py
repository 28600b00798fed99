"""A rehearsal as a workbook of plain tables, and as JSON."""

import json
from collections.abc import Callable, Sequence
from dataclasses import fields
from io import BytesIO
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from exports.layout.style import Face, font_of
from exports.rehearsal.rehearsal_rows import (
    RehearsalReport,
    RehearsedHourRow,
    RehearsedPromiseRow,
    RehearsedStringerRow,
    RehearsedStringRow,
    RehearsedTeamRow,
    Spread,
    as_plain,
)
from exports.text import clean

JSON_FORMAT, JSON_VERSION = "rehearsal", 1
UNITS = {"pct": "%", "min": "min", "h": "h", "m": "m"}
"""How a field's ending is said in a heading."""
TABLES: tuple[tuple[str, type, Callable[[RehearsalReport], Sequence[Any]], str], ...] = (
    ("Teams", RehearsedTeamRow, lambda report: report.teams, "Each team over the whole event."),
    ("Hours", RehearsedHourRow, lambda report: report.hours, "Work that comes, hands on shift, what waits."),
    ("Promises", RehearsedPromiseRow, lambda report: report.promises, "Kept when so many minutes are added."),
    ("Stringers", RehearsedStringerRow, lambda report: report.stringers, "Hours strung on a day at work."),
    ("String", RehearsedStringRow, lambda report: report.strings, "Metres over the event, and what to order."),
)
FIRST_ROW = 4


def rehearsal_workbook(report: RehearsalReport) -> bytes:
    """Return the report as an .xlsx workbook: a sheet a table, each mean with the ends of its band beside it.

    Cells hold values, never formulas, so that every viewer shows them.
    """
    book = new_book(report, "rehearsal")
    _about(book.create_sheet("Rehearsal"), report)
    for name, row_class, rows, note in TABLES:
        _table(book.create_sheet(name), report, row_class, rows(report), note)
    return saved(book)


def rehearsal_json(report: RehearsalReport) -> bytes:
    """Return the report as JSON in UTF-8: ``format`` and ``version``, then the fields of `RehearsalReport`."""
    content = {"format": JSON_FORMAT, "version": JSON_VERSION, **as_plain(report)}
    return json.dumps(content, ensure_ascii=True, allow_nan=False, indent=1).encode()


def _about(sheet: Worksheet, report: RehearsalReport) -> None:
    lines = [
        f"{report.event_name}: rehearsal",
        f"{report.replications} times the event, {report.made_at:%d %b %Y %H:%M}",
        f"Goal: {report.goal}",
        f"Least team that keeps it: {report.least_team}",
        "Every mean stands with the band in which nine events of ten lie.",
        "",
        *report.assumptions,
    ]
    for number, line in enumerate(lines, start=1):
        put(sheet, number, 1, line, "title" if number == 1 else "body")
    sheet.column_dimensions["A"].width = 100


def _table(sheet: Worksheet, report: RehearsalReport, row_class: type, rows: Sequence[Any], note: str) -> None:
    put(sheet, 1, 1, sheet.title, "title")
    put(sheet, 2, 1, note, "note")
    headings = [heading for field in fields(row_class) for heading in _headings(field.name, str(field.type))]
    for column, heading in enumerate(headings, start=1):
        put(sheet, FIRST_ROW, column, heading, "heading")
        sheet.column_dimensions[get_column_letter(column)].width = max(11, min(34, len(heading) + 3))
    sheet.column_dimensions["A"].width = 30
    for number, row in enumerate(rows, start=FIRST_ROW + 1):
        values = [value for field in fields(row_class) for value in _values(getattr(row, field.name))]
        for column, value in enumerate(values, start=1):
            put(sheet, number, column, value, "body")
    sheet.freeze_panes = f"B{FIRST_ROW + 1}"
    print_across(sheet)
    sheet.print_title_rows = f"{FIRST_ROW}:{FIRST_ROW}"


def _headings(name: str, kind: str) -> list[str]:
    words, _, unit = name.rpartition("_")
    said = f"{words or unit} ({UNITS[unit]})" if unit in UNITS and words else name
    said = said.replace("_", " ").capitalize()
    return [said, f"{said}, low", f"{said}, high"] if "Spread" in kind else [said]


def _values(value: Any) -> list[Any]:
    if isinstance(value, Spread):
        return [round(value.mean, 1), round(value.low, 1), round(value.high, 1)]
    if isinstance(value, bool):
        return ["yes" if value else "no"]
    return [round(value, 1) if isinstance(value, float) else value]


def new_book(report: RehearsalReport, subject: str) -> Workbook:
    """Return a workbook without a sheet that says what it is and when it was made."""
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.creator = "Stringing desk"
    book.properties.title = clean(f"{report.event_name}: {subject}")
    book.properties.created = report.made_at
    return book


def saved(book: Workbook) -> bytes:
    """Return a workbook as the content of its file."""
    file = BytesIO()
    book.save(file)
    return file.getvalue()


def print_across(sheet: Worksheet) -> None:
    """Print a sheet lying, as wide as the paper."""
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True  # type: ignore[union-attr]


def put(sheet: Worksheet, row: int, column: int, value: Any, face: Face) -> None:
    """Put a value into a cell in the type of FACE; text is text whatever it begins with."""
    cell: Any = sheet.cell(row, column, clean(value) if isinstance(value, str) else value)
    if isinstance(value, str):
        cell.data_type = "s"
    cell.font = font_of(face)
