"""Where a table stands on its sheet: rows, columns, widths, and what each cell shows."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from itertools import islice
from math import fsum
from textwrap import wrap
from typing import Any

from openpyxl.utils import get_column_letter, quote_sheetname

from exports.layout.style import AROUND_PT, CLOCK, DAY_AND_CLOCK, LARGE_LINE_PT, LARGE_WORDS_PT, LINE_PT, format_of
from exports.money import money_text
from exports.report import UsageReport
from exports.sheet import Column, Kind, Line, Sheet, Value
from exports.text import width

NARROWEST, WIDEST, WIDEST_LAST = 5.0, 30.0, 64.0
"""Widths of a column in characters; the last one, and those not printed, may be wider."""

MOST = 250.0
"""No column may be wider than 255 characters: "Excel specifications and limits", support.microsoft.com."""

PORTRAIT_WIDTH = 102.0
"""Characters that A4 portrait holds; the page that is read first is set to it."""

PADDING = 2.5
LARGE, STRONG = 1.4, 1.8
"""How much wider a character of the large faces is."""

TOGETHER = "Together"
"""What stands before the sums."""

_SHOWN: dict[Kind, Callable[[Any], str]] = {
    "count": lambda value: f"{value:,.0f}",
    "m": lambda value: f"{value:,.1f} m",
    "km": lambda value: f"{value:,.2f}",
    "min": lambda value: f"{value:.1f} min",
    "spare": lambda value: f"{value:+.0f}",
    "duration": lambda value: f"{value // 60:.0f}:00",
    "date": lambda value: "Wed 28 Aug 2026",
    "pct": lambda value: f"{value:.1f} %",
    "rate": lambda value: f"{value:.2f} %",
    "change": lambda value: f"{value:+,.1f} %",
    "tension": lambda value: f"{value:.1f}",
    "yes": lambda value: "yes" if value else "no",
}


@dataclass(frozen=True)
class Layout:
    """One table with its place on the sheet."""

    sheet: Sheet
    report: UsageReport

    @cached_property
    def values(self) -> list[tuple[Value, ...]]:
        """The value of every cell, row by row."""
        return [tuple(column.of(row) for column in self.sheet.columns) for row in self.sheet.rows]

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        """The sentences above the table; of an empty one, what there is instead."""
        return (Line(text=self.sheet.note if self.sheet.rows else self.sheet.empty), *self.sheet.lines)

    @property
    def title(self) -> str:
        """The heading of the page."""
        return self.sheet.title or f"{self.sheet.name}: {self.report.title}"

    @property
    def header_row(self) -> int:
        """Number of the row with the headings."""
        return 2 + len(self.lines)

    @property
    def first_row(self) -> int:
        """Number of the first row of the table."""
        return self.header_row + 1

    @property
    def last_row(self) -> int:
        """Number of the last row of the table, the sums left out."""
        return self.header_row + len(self.sheet.rows)

    @cached_property
    def totals(self) -> tuple[float | None, ...]:
        """The sums below the table; none where there are fewer than two rows."""
        if len(self.sheet.rows) < 2 or not any(column.total for column in self.sheet.columns):
            return ()
        return tuple(
            _sum(column, [row[number] for row in self.values]) if column.total else None
            for number, column in enumerate(self.sheet.columns)
        )

    @property
    def bottom_row(self) -> int:
        """Number of the last row in use."""
        return self.last_row + bool(self.totals)

    @cached_property
    def clocks(self) -> tuple[str, ...]:
        """The format of each column's times: without the day where all are of the one day reported."""
        return tuple(self._clock(number) for number in range(len(self.sheet.columns)))

    def _clock(self, number: int) -> str:
        days = {value.date() for row in self.values if isinstance(value := row[number], datetime)}
        return CLOCK if days <= set(self.report.days) and len(self.report.days) == 1 else DAY_AND_CLOCK

    def format_of(self, number: int, kind: Kind) -> str:
        """The number format of a value in a column; where the rows have different units it names the unit."""
        if kind == "time":
            return self.clocks[number]
        mixed = callable(self.sheet.columns[number].kind)
        return format_of(kind, self.report.currency, with_unit=mixed)

    @cached_property
    def widths(self) -> tuple[float, ...]:
        """The width of each column in characters: what fits its values, within bounds."""
        return tuple(self._width(number, column) for number, column in enumerate(self.sheet.columns))

    def _width(self, number: int, column: Column) -> float:
        scale = (STRONG if column.strong else LARGE) if self.sheet.large else 1.0
        shown = (
            width(self.shown(number, column.kind_of(row), value[number]))
            for row, value in zip(self.sheet.rows, self.values, strict=True)
        )
        total = width(self.shown(number, kind_of_total(column), self.totals[number])) if self.totals else 0
        needed = max(max(shown, default=0), total) * scale
        heading = _width_of_heading(column.heading)
        filtered = 2.0 if self.sheet.filtered else 0.0
        if self.sheet.large and column is self.sheet.printed[-1]:
            return PORTRAIT_WIDTH - sum(self._width(place, one) for place, one in enumerate(self.sheet.printed[:-1]))
        if self.sheet.large and not column.printed:
            return min(needed, MOST) + PADDING
        widest = WIDEST_LAST if column is self.sheet.printed[-1] or not column.printed else WIDEST
        if self.totals and number == 0:
            needed = max(needed, 1.1 * len(TOGETHER))
        return max(NARROWEST, min(needed, widest * scale), heading + 0.5 + filtered) + PADDING

    def shown(self, number: int, kind: Kind, value: Value) -> str:
        """The value about as long as a spreadsheet shows it."""
        if value is None:
            return ""
        if kind == "text" or isinstance(value, str):
            return str(value)
        if kind == "time":
            return "28 Aug 00:00" if self.clocks[number] == DAY_AND_CLOCK else "00:00"
        if kind == "minor":
            return money_text(value, self.report.currency)  # type: ignore[arg-type]
        return _SHOWN[kind](value)

    def height_pt(self, values: Sequence[Value]) -> float:
        """The height of a row in points: as many lines as its longest text takes in its column."""
        least, line, scale = (LARGE_LINE_PT, LARGE_WORDS_PT, LARGE) if self.sheet.large else (LINE_PT, LINE_PT, 1.0)
        lines = 1
        for value, room in zip(values, self.widths, strict=True):
            if isinstance(value, str) and (len(value) * scale > room - 1 or "\n" in value):
                lines = max(lines, lines_of(value, (room - 1) / scale))
        return max(lines * line, least) + AROUND_PT

    @cached_property
    def header_height_pt(self) -> float:
        """The height of the row with the headings, in points."""
        return AROUND_PT * 2 + LINE_PT * max(
            lines_of(column.heading, (room - 1.5) / 1.1)
            for column, room in zip(self.sheet.columns, self.widths, strict=True)
        )

    def letter(self, key: str) -> str:
        """The letter of the column with this key."""
        keys = [column.key for column in self.sheet.columns]
        return get_column_letter(keys.index(key) + 1)

    def reference(self, key: str) -> str:
        """The cells of one column, as a chart names them."""
        letter = self.letter(key)
        return f"{quote_sheetname(self.sheet.name)}!${letter}${self.first_row}:${letter}${self.last_row}"

    def column_values(self, key: str) -> Sequence[Value]:
        """The values of one column."""
        number = [column.key for column in self.sheet.columns].index(key)
        return [row[number] for row in self.values]

    @property
    def printed_width(self) -> float:
        """Width of the printed columns in characters."""
        return sum(islice(self.widths, len(self.sheet.printed)))


def _width_of_heading(heading: str) -> float:
    """The least width, in characters, in which a heading takes two lines at most."""
    least = max(width(word) for word in heading.split())
    return 1.1 * next(room for room in range(least, len(heading) + 1) if lines_of(heading, room) <= 2)


def lines_of(text: str, room: float) -> int:
    """How many lines a text takes in so many characters."""
    return sum(max(len(wrap(line, max(int(room), 1))), 1) for line in text.split("\n"))


def kind_of_total(column: Column) -> Kind:
    """How the sum of a column is shown."""
    return "count" if callable(column.kind) else column.kind


def _sum(column: Column, values: list[Any]) -> float:
    known = [value for value in values if value is not None]
    return sum(known) if column.kind in ("count", "minor") else fsum(known)


def label(value: Value) -> str:
    """The name of a bar: a day without its year, anything else as it is."""
    if isinstance(value, date):
        return f"{value:%a} {value.day} {value:%b}"
    return str(value)
