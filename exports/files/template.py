"""An empty event workbook to be filled in: a sheet a table, with a row that explains its columns."""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from math import ceil
from textwrap import wrap

from openpyxl import Workbook
from openpyxl.styles import Alignment
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from exports.errors import ReportError
from exports.layout.style import LINE_PT, Face, font_of
from exports.text import clean

GUIDE = "How to fill this in"
"""Name of the first sheet; it is no table."""

COMMENT = "#"
"""What a row begins with that is no data: readers skip it."""

MAX_SHEET_NAME = 31
BAD_IN_SHEET_NAME = frozenset("[]:*?/\\'")
COLUMN_WIDTH = 26
GUIDE_WIDTH = 90
COLUMNS_A_PAGE = 5
FIRST_ROWS_TO_FILL = 3


@dataclass(frozen=True, kw_only=True)
class ColumnSpec:
    """One column to be filled in.

    Attributes
    ----------
    name
        The heading that a reader looks for.
    explanation
        What goes into it, with its unit.
    example
        One value as it may be typed; empty for none.
    required
        Whether it must be filled in.
    empty
        What an empty cell stands for; nothing where it stands for nothing.
    """

    name: str
    explanation: str
    example: str = ""
    required: bool = False
    empty: str = ""


@dataclass(frozen=True, kw_only=True)
class TableSpec:
    """One table to be filled in.

    Attributes
    ----------
    name
        Name of its sheet: at most 31 characters, none of ``[]:*?/\\'``.
    explanation
        What the table is for.
    columns
        At least one.
    """

    name: str
    explanation: str
    columns: tuple[ColumnSpec, ...]


def write_template(tables: Sequence[TableSpec], *, title: str = "Event") -> bytes:
    """Return an empty event workbook.

    The first sheet explains the tables. Each further sheet is one table: its headings in row 1, and in row 2,
    which begins with `COMMENT`, what goes into each column with an example. All its cells are set as text, so that a
    tag such as 1-2 is not taken for a date.

    Raises
    ------
    ReportError
        If there is no table, a name cannot be a sheet's, or a name or a heading stands twice.
    """
    _check(tables)
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.title = clean(title)
    book.properties.creator = "Stringing desk"
    _write_guide(book.create_sheet(GUIDE), tables, title)
    for table in tables:
        _write_table(book.create_sheet(table.name), table)
    file = BytesIO()
    book.save(file)
    return file.getvalue()


def _check(tables: Sequence[TableSpec]) -> None:
    if not tables:
        raise ReportError("The event workbook has no table; name at least one.")
    seen = {GUIDE.casefold()}
    for table in tables:
        if not 0 < len(table.name) <= MAX_SHEET_NAME or BAD_IN_SHEET_NAME & set(table.name):
            raise ReportError(f"{table.name!r} cannot name a sheet; use 1 to 31 characters, none of []:*?/\\'.")
        if table.name.casefold() in seen:
            raise ReportError(f"Two sheets would be named {table.name!r}; rename one table.")
        seen.add(table.name.casefold())
        names = [column.name for column in table.columns]
        if not names or len(set(names)) < len(names):
            raise ReportError(f"The table {table.name!r} has no column, or one twice; give each its own name.")


def _write_guide(sheet: Worksheet, tables: Sequence[TableSpec], title: str) -> None:
    lines = (
        "Fill in the sheets that follow, one row a thing, and leave the headings as they are.",
        f"A row that begins with {COMMENT} is not read: the second row of every sheet explains its columns.",
        "Sheets and columns that you do not need may stay empty; columns marked required may not.",
    )
    _put(sheet, 1, 1, title, "title")
    sheet.row_dimensions[1].height = 2 * LINE_PT
    for number, line in enumerate(lines, 2):
        _put(sheet, number, 1, line, "note", wrapped=False)
    for number, table in enumerate(tables, 3 + len(lines)):
        _put(sheet, number, 1, table.name, "heading")
        _put(sheet, number, 2, table.explanation, "body")
        sheet.row_dimensions[number].height = LINE_PT * len(wrap(table.explanation, GUIDE_WIDTH - 10))
    sheet.column_dimensions["A"].width, sheet.column_dimensions["B"].width = COLUMN_WIDTH, GUIDE_WIDTH
    _set_paper(sheet)


def _write_table(sheet: Worksheet, table: TableSpec) -> None:
    for number, column in enumerate(table.columns, 1):
        letter = get_column_letter(number)
        sheet.column_dimensions[letter].width = COLUMN_WIDTH
        sheet.column_dimensions[letter].number_format = "@"
        _put(sheet, 1, number, column.name, "heading")
        _put(sheet, 2, number, ("# " if number == 1 else "") + _explained(column), "note")
        for row in range(3, 3 + FIRST_ROWS_TO_FILL):
            sheet.cell(row, number).number_format = "@"
    longest = max(len(wrap(_explained(column), COLUMN_WIDTH - 3)) for column in table.columns)
    sheet.row_dimensions[2].height = LINE_PT * (longest + 1)
    sheet.freeze_panes = "A3"
    sheet.print_title_rows = "1:2"
    _set_paper(sheet, pages_wide=ceil(len(table.columns) / COLUMNS_A_PAGE))


def _explained(column: ColumnSpec) -> str:
    empty = f"Empty stands for {column.empty}." if column.empty else "May stay empty."
    parts = ("Required." if column.required else empty, f"{column.explanation.rstrip('.')}.")
    return " ".join(parts) + (f" Example: {column.example}" if column.example else "")


def _put(sheet: Worksheet, row: int, column: int, text: str, face: Face, *, wrapped: bool = True) -> None:
    cell = sheet.cell(row, column, clean(text))
    cell.data_type = "s"
    cell.number_format = "@"
    cell.font = font_of(face)
    cell.alignment = Alignment(wrap_text=wrapped and face != "title", vertical="top")


def _set_paper(sheet: Worksheet, *, pages_wide: int = 1) -> None:
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = int(Worksheet.PAPERSIZE_A4)
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = pages_wide, 0
