"""String to order as a sheet for the supplier: what is ordered, reels and sets apart; and what it was reckoned from."""

from collections.abc import Sequence
from dataclasses import dataclass

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from exports.files.csvzip import DIALECTS, Dialect, csv_text
from exports.rehearsal.rehearsal_files import new_book, print_across, put, saved
from exports.rehearsal.rehearsal_rows import RehearsalReport, RehearsedStringRow
from exports.sheet import Column, Sheet
from exports.tables.columns import col

PIECES = ("reel", "set", "half set")


@dataclass(frozen=True)
class Part:
    """One table of the sheet: its title, its rows and its columns."""

    title: str
    rows: tuple[RehearsedStringRow, ...]
    columns: tuple[Column, ...]


def supplier_workbook(report: RehearsalReport) -> bytes:
    """Return the order as an .xlsx workbook: the order on the first sheet, what it was reckoned from on the second.

    What is ordered is what the far end of the band takes, in nine events of ten no more, less what is in stock.
    """
    book = new_book(report, "string to order")
    order, behind = book.create_sheet("Order"), book.create_sheet("Reckoned from")
    ordered = [part for piece in PIECES if (part := _order(report, piece)).rows or piece != "half set"]
    _fill(order, f"{report.event_name}: string to order", ordered)
    _fill(behind, "Expected use and what is there", [_use(report, whose) for whose in ("desk's", "players'")])
    return saved(book)


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


NAMED = (col("string", "String"), col("gauge_mm", "Gauge, mm", "m"), col("material", "Kind"))
PIECE = col("piece", "Piece")
ORDERED = (*NAMED, col("piece_m", "Length, m", "m"), col("order", "Pieces", "count"))
USED = (
    *NAMED,
    col("mean_m", "Expected, m", "m", of=lambda row: row.metres.mean),
    col("most_m", "Nine events of ten need at most, m", "m", of=lambda row: row.metres.high),
    col("in_stock_m", "In stock, m", "m"),
    PIECE,
    col("piece_m", "Length, m", "m"),
    col("order", "Order", "count"),
)
BROUGHT = (*USED[:-4], PIECE, USED[-2], col("pieces", "They bring", "count"))


def _fill(sheet: Worksheet, title: str, parts: Sequence[Part]) -> None:
    put(sheet, 1, 1, title, "title")
    at = 3
    for part in parts:
        put(sheet, at, 1, part.title, "heading")
        if not part.rows:
            put(sheet, at + 1, 1, "none", "note")
            at += 3
            continue
        for number, column in enumerate(part.columns, start=1):
            put(sheet, at + 1, number, column.heading, "heading")
        for line, row in enumerate(part.rows, start=at + 2):
            for number, column in enumerate(part.columns, start=1):
                value = column.of(row)
                put(sheet, line, number, round(value, 2) if isinstance(value, float) else value, "body")
        at += len(part.rows) + 3
    for number in range(1, 9):
        sheet.column_dimensions[get_column_letter(number)].width = 34 if number == 1 else 18
    print_across(sheet)
