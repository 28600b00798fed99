"""The usage sheet as a workbook: every table of a report on a sheet of its own."""

from collections.abc import Callable, Iterator
from io import BytesIO

from openpyxl import Workbook
from openpyxl.cell.cell import Cell
from openpyxl.worksheet.worksheet import Worksheet

from exports.cells import Cells
from exports.charts import draw
from exports.layout import Layout, kind_of_total
from exports.page import Page
from exports.report import UsageReport
from exports.sheet import Chart, Column
from exports.style import Face, Styles, is_left
from exports.tables import tables
from exports.text import clean

Progress = Callable[[int, int], None]
"""Called with the rows written and the rows in all."""

PROGRESS_EVERY = 250


def write_workbook(report: UsageReport, *, progress: Progress | None = None) -> bytes:
    """Return the report as an .xlsx workbook.

    Cells hold values, never formulas, so that every viewer shows them, and text is stored as text whatever it
    begins with. Rows are streamed to a temporary file: memory grows with the report, not with the workbook.

    Parameters
    ----------
    report
        What to write.
    progress
        Called after every 250 rows and at the end with the rows written and the rows in all.
    """
    book = Workbook(write_only=True)
    book.properties.creator = "Stringing desk"
    book.properties.title = clean(f"{report.event_name}: {report.title}")
    book.properties.created = report.made_at
    layouts = {sheet.key: Layout(sheet, report) for sheet in tables(report)}
    writer = _Writer(book, layouts, progress)
    for layout in layouts.values():
        writer.write(layout)
    file = BytesIO()
    book.save(file)
    writer.say_done()
    return file.getvalue()


class _Writer:
    """Writes one table after the other and counts the rows."""

    def __init__(self, book: Workbook, layouts: dict[str, Layout], progress: Progress | None) -> None:
        self._book = book
        self._layouts = layouts
        self._progress = progress
        self._styles = Styles()
        self._done = 0
        self._rows = sum(len(layout.sheet.rows) for layout in layouts.values())

    def write(self, layout: Layout) -> None:
        """Write one table on a new sheet."""
        sheet: Worksheet = self._book.create_sheet(layout.sheet.name)
        page = Page(layout, tuple(self._drawn(layout)))
        page.set_up(sheet)
        cells = Cells(sheet, self._styles, layout.report.currency)
        self._write_head(cells, layout)
        self._write_rows(cells, layout)
        self._write_totals(cells, layout)
        for spot in page.spots:
            source = self._source(layout, spot.chart)
            drawn = draw(spot.chart, source, width_cm=spot.width_cm, height_cm=spot.height_cm)
            sheet.add_chart(drawn, spot.cell)

    def _source(self, layout: Layout, chart: Chart) -> Layout:
        return self._layouts[chart.sheet] if chart.sheet else layout

    def _drawn(self, layout: Layout) -> Iterator[tuple[Chart, int]]:
        for chart in layout.sheet.charts:
            bars = len(self._source(layout, chart).sheet.rows)
            if bars:
                yield chart, bars

    def say_done(self) -> None:
        """Say that everything is written."""
        if self._progress:
            self._progress(self._rows, self._rows)

    def _write_head(self, cells: Cells, layout: Layout) -> None:
        cells.sheet.append([cells.text(layout.title, "title")])
        for line in layout.lines:
            cells.sheet.append([cells.text(line.text, "alert_note" if line.alert else "note")])
        if layout.sheet.rows:
            cells.sheet.append([_heading(cells, column) for column in layout.sheet.columns])

    def _write_rows(self, cells: Cells, layout: Layout) -> None:
        plain: Face = "large" if layout.sheet.large else "body"
        loud: Face = "large_alert" if layout.sheet.large else "alert"
        for row, values in zip(layout.sheet.rows, layout.values, strict=True):
            cells.sheet.append(
                [
                    cells.value(
                        column.kind_of(row), value, loud if column.alert and column.alert(row) else plain, clock
                    )
                    for column, value, clock in zip(layout.sheet.columns, values, layout.clocks, strict=True)
                ]
            )
            self._count()

    def _write_totals(self, cells: Cells, layout: Layout) -> None:
        if not layout.totals:
            return
        sums = [
            cells.value(kind_of_total(column), total, "total", "")
            for column, total in zip(layout.sheet.columns, layout.totals, strict=True)
        ]
        cells.sheet.append([cells.text("Together", "total"), *sums[1:]])

    def _count(self) -> None:
        self._done += 1
        if self._progress and self._done % PROGRESS_EVERY == 0:
            self._progress(self._done, self._rows)


def _heading(cells: Cells, column: Column) -> Cell:
    left = not callable(column.kind) and is_left(column.kind)
    return cells.heading(column.heading, left=left)
