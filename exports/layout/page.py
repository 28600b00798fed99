"""How a sheet is printed and scrolled: widths, fixed headings, A4 landscape, footer, places of charts."""

from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from math import ceil

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.header_footer import HeaderFooterItem
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from exports.layout.style import FONT
from exports.layout.table_place import Layout, lines_of
from exports.sheet import Chart
from exports.text import clean

CM_PER_CHARACTER = 0.185
"""Width of one character of a column: 7 pixels at 96 to the inch."""

CM_PER_ROW, CM_PER_LARGE_ROW = 0.57, 0.79
BESIDE_CM, BESIDE_LARGE_CM = 15.0, 11.5
SPARE_COLUMN = 10.0
"""Width, in characters, of the columns behind a chart."""

LEAST_WIDTH, MOST_WIDTH = 80.0, 140.0
"""Widths, in characters, between which the page is set: the second is what A4 landscape holds."""

ROWS_A_PAGE = 45
NOTE, LARGE_NOTE = (1.0, 14.0), (1.4, 22.0)
"""How much wider a character of a sentence is than one of the table, and the height of its line in points."""
FOOTER_CHARS = 56


@dataclass(frozen=True)
class Spot:
    """Where a chart stands, and how large it is."""

    chart: Chart
    source: Layout
    cell: str
    width_cm: float
    height_cm: float


@dataclass(frozen=True)
class Page:
    """The measures of one sheet's page.

    Attributes
    ----------
    layout
        The table on it.
    drawn
        The charts that have something to show, by number, each with the table that it draws.
    """

    layout: Layout
    drawn: tuple[tuple[int, Layout], ...]

    @cached_property
    def spots(self) -> tuple[Spot, ...]:
        """The place of every chart: beside the table or below it, one under the other."""
        spots = []
        beside, below = self.layout.header_row, self.layout.bottom_row + 2
        for number, source in self.drawn:
            chart = self.layout.sheet.charts[number]
            height = 2.2 + 0.75 * len(source.sheet.rows) if chart.lying else 7.8
            rows = ceil(height / self._cm_per_row) + 1
            if chart.beside:
                spots.append(Spot(chart, source, f"{self._beside}{beside}", self._beside_cm, height))
                beside += rows
            else:
                spots.append(Spot(chart, source, f"A{below}", self._below_cm, height))
                below += rows
        return tuple(spots)

    @property
    def _cm_per_row(self) -> float:
        return CM_PER_LARGE_ROW if self.layout.sheet.large else CM_PER_ROW

    @property
    def _beside_cm(self) -> float:
        return BESIDE_LARGE_CM if self.layout.sheet.large else BESIDE_CM

    @property
    def _beside(self) -> str:
        return get_column_letter(len(self.layout.sheet.columns) + 2)

    @property
    def _below_cm(self) -> float:
        return min(max(self.layout.printed_width, LEAST_WIDTH), MOST_WIDTH) * CM_PER_CHARACTER - 0.5

    @cached_property
    def widths(self) -> tuple[float, ...]:
        """Width of each column in characters, the spare ones behind charts and sentences with them."""
        table = self.layout.widths if self.layout.sheet.rows else ()
        if any(self.layout.sheet.charts[number].beside for number, _ in self.drawn):
            return (*table, 3.0, *[SPARE_COLUMN] * ceil(self._beside_cm / CM_PER_CHARACTER / SPARE_COLUMN))
        missing = 0.0 if self.layout.sheet.large else LEAST_WIDTH - (self.layout.printed_width if table else 0.0)
        return (*table, *[SPARE_COLUMN] * max(ceil(missing / SPARE_COLUMN), 0))

    @property
    def printed_columns(self) -> int:
        """How many columns are printed."""
        hidden = len(self.layout.sheet.columns) - len(self.layout.sheet.printed)
        return len(self.layout.sheet.printed) if hidden and self.layout.sheet.rows else len(self.widths)

    @property
    def printed_width(self) -> float:
        """Width of what is printed, in characters."""
        return list(accumulate(self.widths))[self.printed_columns - 1]

    @property
    def printed_rows(self) -> int:
        """How many rows are printed."""
        chart_rows = [
            int("".join(filter(str.isdigit, spot.cell))) + ceil(spot.height_cm / self._cm_per_row)
            for spot in self.spots
        ]
        return max([self.layout.bottom_row, *chart_rows])

    @property
    def last_letter(self) -> str:
        """The letter of the last printed column."""
        return get_column_letter(self.printed_columns)

    def set_up(self, sheet: Worksheet) -> None:
        """Set everything that must stand before the first row is written."""
        for number, width in enumerate(self.widths, 1):
            sheet.column_dimensions[get_column_letter(number)].width = width
        for row in range(1, self.layout.header_row):
            sheet.merged_cells.add(f"A{row}:{self.last_letter}{row}")
        self._set_rows(sheet)
        self._set_paper(sheet)
        self._set_footer(sheet)

    @cached_property
    def head_heights_pt(self) -> tuple[float, ...]:
        """Heights of the title and of each sentence above the table, in points."""
        texts = [
            (self.layout.title, 1.8, 21.0),
            *((line.text, *(LARGE_NOTE if line.large else NOTE)) for line in self.layout.lines),
        ]
        return tuple(
            height * lines_of(clean(text), max(self.printed_width / scale, 20)) for text, scale, height in texts
        )

    def _set_rows(self, sheet: Worksheet) -> None:
        table = self.layout.sheet
        if not table.rows or table.large:
            return
        sheet.freeze_panes = f"{get_column_letter(table.fixed + 1)}{self.layout.first_row}"
        sheet.print_title_rows = f"1:{self.layout.header_row}"
        if table.filtered:
            last = get_column_letter(len(table.columns))
            sheet.auto_filter.ref = f"A{self.layout.header_row}:{last}{self.layout.last_row}"

    def _set_paper(self, sheet: Worksheet) -> None:
        sheet.print_area = f"A1:{self.last_letter}{self.printed_rows}"
        sheet.page_setup.orientation = "portrait" if self.layout.sheet.large else "landscape"
        sheet.page_setup.paperSize = int(Worksheet.PAPERSIZE_A4)
        sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
        sheet.page_setup.fitToWidth = 1
        one_page = bool(self.spots) and self.layout.bottom_row <= ROWS_A_PAGE
        sheet.page_setup.fitToHeight = 1 if one_page or self.layout.sheet.large else 0
        if self.spots and not one_page and not self.spots[0].chart.beside:
            sheet.row_breaks.append(Break(id=self.layout.bottom_row))
        margins = sheet.page_margins
        margins.left = margins.right = 0.5
        margins.top, margins.bottom, margins.footer = 0.5, 0.7, 0.35
        sheet.sheet_view.showGridLines = False

    def _set_footer(self, sheet: Worksheet) -> None:
        report = self.layout.report
        footer = HeaderFooterItem()
        where = ", ".join(part for part in (report.event_name, report.town) if part)
        for part, text in (
            (footer.left, _footer(where)),
            (footer.center, _footer(report.title)),
            (footer.right, "&P of &N"),
        ):
            part.text, part.font, part.size = text, FONT, 8
        sheet.HeaderFooter.oddFooter = footer


def _footer(text: str) -> str:
    """Text for a footer: an ampersand there begins a code, and the three parts share 255 characters."""
    line = " ".join(clean(text).split())
    short = line if len(line) <= FOOTER_CHARS else line[: FOOTER_CHARS - 1] + "…"
    return short.replace("&", "&&")
