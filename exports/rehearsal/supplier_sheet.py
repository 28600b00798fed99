"""String to order as a sheet for the supplier: what is ordered, reels and sets apart; and what it was reckoned from."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from exports.files.csvzip import DIALECTS, Dialect, csv_text
from exports.layout.style import font_of
from exports.rehearsal.rehearsal_rows import RehearsalReport, RehearsedStringRow
from exports.sheet import Column, Sheet
from exports.text import clean

Row = RehearsedStringRow
PIECES = ("reel", "set", "half set")


@dataclass(frozen=True)
class Part:
    """One table of the sheet: its title, its rows and its columns."""

    title: str
    rows: tuple[Row, ...]
    columns: tuple[Column, ...]


def supplier_workbook(report: RehearsalReport) -> bytes:
    """Return the order as an .xlsx workbook: the order on the first sheet, what it was reckoned from on the second.

    What is ordered is what the far end of the band takes, in nine events of ten no more, less what is in stock.
    """
    book = Workbook()
    order, behind = book.worksheets[0], book.create_sheet("Reckoned from")
    order.title = "Order"
    book.properties.creator = "Stringing desk"
    book.properties.title = clean(f"{report.event_name}: string to order")
    book.properties.created = report.made_at
    ordered = [part for piece in PIECES if (part := _order(report, piece)).rows or piece != "half set"]
    _fill(order, f"{report.event_name}: string to order", ordered)
    _fill(behind, "Expected use and what is there", [_use(report, whose) for whose in ("desk's", "players'")])
    file = BytesIO()
    book.save(file)
    return file.getvalue()


def supplier_csv(report: RehearsalReport, dialect: Dialect = DIALECTS["comma"]) -> bytes:
    """Return the order as one CSV table, reels before sets: UTF-8 with a byte order mark, as `csv_text` writes it."""
    rows = tuple(row for piece in PIECES for row in _order(report, piece).rows)
    sheet = Sheet(key="order", name="Order", note="", empty="none", columns=(*ORDERED, PIECE), rows=rows)
    return csv_text(sheet, "", dialect).encode("utf-8-sig")


def _order(report: RehearsalReport, piece: str) -> Part:
    rows = [row for row in report.strings if row.order and row.piece == piece]
    return Part(f"{piece.capitalize()}s", tuple(sorted(rows, key=lambda row: row.string)), ORDERED)


def _use(report: RehearsalReport, whose: str) -> Part:
    rows = tuple(row for row in report.strings if row.whose == whose)
    said = "The desk's own string" if whose == "desk's" else "Brought by the players"
    return Part(said, rows, USED if whose == "desk's" else BROUGHT)


def _column(key: str, heading: str, kind: Any, of: Callable[[Row], Any]) -> Column:
    return Column(key=key, heading=heading, kind=kind, of=of)


NAMED = (
    _column("string", "String", "text", lambda row: row.string),
    _column("gauge_mm", "Gauge, mm", "m", lambda row: row.gauge_mm),
    _column("material", "Kind", "text", lambda row: row.material),
)
PIECE = _column("piece", "Piece", "text", lambda row: row.piece)
ORDERED = (
    *NAMED,
    _column("piece_m", "Length, m", "m", lambda row: row.piece_m),
    _column("order", "Pieces", "count", lambda row: row.order),
)
USED = (
    *NAMED,
    _column("mean_m", "Expected, m", "m", lambda row: row.metres.mean),
    _column("most_m", "Nine events of ten need at most, m", "m", lambda row: row.metres.high),
    _column("in_stock_m", "In stock, m", "m", lambda row: row.in_stock_m),
    PIECE,
    _column("piece_m", "Length, m", "m", lambda row: row.piece_m),
    _column("order", "Order", "count", lambda row: row.order),
)
BROUGHT = (*USED[:-4], PIECE, USED[-2], _column("pieces", "They bring", "count", lambda row: row.pieces))


def _fill(sheet: Worksheet, title: str, parts: Sequence[Part]) -> None:
    _put(sheet, 1, 1, title, "title")
    at = 3
    for part in parts:
        _put(sheet, at, 1, part.title, "heading")
        if not part.rows:
            _put(sheet, at + 1, 1, "none", "note")
            at += 3
            continue
        for number, column in enumerate(part.columns, start=1):
            _put(sheet, at + 1, number, column.heading, "heading")
        for line, row in enumerate(part.rows, start=at + 2):
            for number, column in enumerate(part.columns, start=1):
                value = column.of(row)
                _put(sheet, line, number, round(value, 2) if isinstance(value, float) else value, "body")
        at += len(part.rows) + 3
    for number in range(1, 9):
        sheet.column_dimensions[get_column_letter(number)].width = 34 if number == 1 else 18
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True  # type: ignore[union-attr]


def _put(sheet: Worksheet, row: int, column: int, value: Any, face: Any) -> None:
    cell: Any = sheet.cell(row, column, clean(value) if isinstance(value, str) else value)
    if isinstance(value, str):
        cell.data_type = "s"
    cell.font = font_of(face)
