"""The usage sheet as a workbook: every table of a report on a sheet of its own."""

from collections.abc import Callable, Iterator
from io import BytesIO
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from exports.layout.cells import Cells, row_of
from exports.layout.charts import draw
from exports.layout.page import Page
from exports.layout.splice import put_rows
from exports.layout.style import AROUND_PT, LINE_PT, NORMAL, Face, Styles, is_left
from exports.layout.table_place import TOGETHER, Layout, kind_of_total
from exports.report import UsageReport
from exports.sheet import Column, Line
from exports.tables import tables
from exports.text import clean

Progress = Callable[[int, int], None]
"""Called with the rows written and the rows in all."""

PROGRESS_EVERY = 250


def write_workbook(report: UsageReport, *, progress: Progress | None = None) -> bytes:
    """Return the report as an .xlsx workbook; a table without a row has no sheet, and is named beside the checks.

    Cells hold values, never formulas, so that every viewer shows them, and text is stored as text whatever it
    begins with.

    Parameters
    ----------
    report
        What to write.
    progress
        Called after every 250 rows and at the end with the rows written and the rows in all.
    """
    layouts = {sheet.key: Layout(sheet, report) for sheet in tables(report) if sheet.rows}
    book = Workbook(write_only=True)
    book.properties.creator = "Stringing desk"
    book.properties.title = clean(f"{report.event_name}: {report.title}")
    book.properties.created = report.made_at
    pages = [Page(layout, tuple(_drawn(layout, layouts))) for layout in layouts.values()]
    book._named_styles["Normal"].font = NORMAL  # type: ignore[attr-defined]
    sheets = [_add_sheet(book, page, layouts) for page in pages]
    writer = _RowWriter(Cells(Styles(sheets[0]), report.currency), pages, progress)
    rows = [writer.rows(page) for page in pages]
    file = BytesIO()
    book.save(file)
    return put_rows(file.getvalue(), {sheet.path: part for sheet, part in zip(sheets, rows, strict=True)})


def _drawn(layout: Layout, layouts: dict[str, Layout]) -> Iterator[tuple[int, Layout]]:
    """The charts of a table that have something to show, by number, each with the table that it draws."""
    for number, chart in enumerate(layout.sheet.charts):
        source = layouts.get(chart.sheet) if chart.sheet else layout
        if source is not None:
            yield number, source


def _add_sheet(book: Workbook, page: Page, layouts: dict[str, Layout]) -> Worksheet:
    """A sheet with its page and its charts, and no rows yet."""
    sheet: Worksheet = book.create_sheet(page.layout.sheet.name)
    page.set_up(sheet)
    for spot in page.spots:
        drawn = draw(spot.chart, spot.source, width_cm=spot.width_cm, height_cm=spot.height_cm)
        sheet.add_chart(drawn, spot.cell)
    return sheet


class _RowWriter:
    """Writes the rows of one table after the other and counts them."""

    def __init__(self, cells: Cells, pages: list[Page], progress: Progress | None) -> None:
        self._cells = cells
        self._progress = progress
        self._done = 0
        self._all = sum(len(page.layout.sheet.rows) for page in pages)

    def rows(self, page: Page) -> bytes:
        """Return the rows of one sheet, from its title to its sums."""
        return "".join([*self._head(page), *self._body(page.layout), *self._sums(page.layout)]).encode()

    def _head(self, page: Page) -> Iterator[str]:
        layout = page.layout
        sentences = [(line.text, _face_of_line(line)) for line in layout.lines]
        heads: list[tuple[str, Face]] = [(layout.title, "title"), *sentences]
        for number, ((text, face), height) in enumerate(zip(heads, page.head_heights_pt, strict=True), 1):
            yield row_of(number, [self._cells.text(f"A{number}", text, face)], height_pt=height)
        if layout.sheet.rows:
            yield row_of(layout.header_row, self._headings(layout), height_pt=layout.header_height_pt)

    def _headings(self, layout: Layout) -> Iterator[str]:
        for letter, column in zip(_letters(layout), layout.sheet.columns, strict=True):
            yield self._cells.heading(f"{letter}{layout.header_row}", column.heading, left=_is_left(column))

    def _body(self, layout: Layout) -> Iterator[str]:
        columns = list(zip(range(len(layout.widths)), _letters(layout), layout.sheet.columns, strict=True))
        for number, (row, values) in enumerate(zip(layout.sheet.rows, layout.values, strict=True), layout.first_row):
            cells = []
            for (place, letter, column), value in zip(columns, values, strict=True):
                kind, face = column.kind_of(row), _face(layout, column, row)
                shown_as = layout.format_of(place, kind)
                cells.append(self._cells.value(f"{letter}{number}", kind, value, face, shown_as))
            yield row_of(number, cells, height_pt=layout.height_pt(values))
            self._count()

    def _sums(self, layout: Layout) -> Iterator[str]:
        if not layout.totals:
            return
        number = layout.bottom_row
        cells = [self._cells.text(f"A{number}", TOGETHER, "total")]
        for place, letter in list(enumerate(_letters(layout)))[1:]:
            kind = kind_of_total(layout.sheet.columns[place])
            shown_as = layout.format_of(place, kind)
            cells.append(self._cells.value(f"{letter}{number}", kind, layout.totals[place], "total", shown_as))
        yield row_of(number, cells, height_pt=LINE_PT + AROUND_PT)

    def _count(self) -> None:
        self._done += 1
        if self._progress and (self._done % PROGRESS_EVERY == 0 or self._done == self._all):
            self._progress(self._done, self._all)


def _letters(layout: Layout) -> list[str]:
    return [get_column_letter(number) for number in range(1, len(layout.sheet.columns) + 1)]


def _face(layout: Layout, column: Column, row: Any) -> Face:
    alert = bool(column.alert and column.alert(row))
    if layout.sheet.large:
        return "large_alert" if alert else "strong" if column.strong else "large"
    return "alert" if alert else "body"


def _face_of_line(line: Line) -> Face:
    if line.large:
        return "large_alert_note" if line.alert else "large_note"
    return "alert_note" if line.alert else "note"


def _is_left(column: Column) -> bool:
    return not callable(column.kind) and is_left(column.kind)
