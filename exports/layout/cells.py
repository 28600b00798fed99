"""Typed cells as a sheet's file holds them (ECMA-376, part 1, 18.3.1.4), from the values of a table.

The rows are written here and not through the library: its writer needs about 40 microseconds a cell, four times
what the cell itself costs, and an event has 300 000.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from xml.sax.saxutils import escape

from exports.layout.style import Face, Styles, is_left, is_text
from exports.money import major
from exports.sheet import Kind, Value
from exports.text import clean, guard

DAY = timedelta(days=1)
DAY_ZERO = datetime(1899, 12, 30)
"""Day 0 of a sheet's dates from March 1900 on (ECMA-376, part 1, 18.17.4.1)."""


@dataclass(frozen=True)
class Cells:
    """Makes the cells of one workbook; each method takes where the cell stands, such as ``B5``."""

    styles: Styles
    currency: str

    def text(self, at: str, text: str, face: Face) -> str:
        """Return a cell that is text whatever it begins with: no formula, no error value, no number."""
        text = clean(text)
        style = self.styles.number(face, "General", left=True, quoted=guard(text) != text, inset=_is_inset(at))
        return f'<c r="{at}" s="{style}" t="inlineStr"><is><t xml:space="preserve">{escape(text)}</t></is></c>'

    def heading(self, at: str, text: str, *, left: bool) -> str:
        """Return the heading of a column, over its values at the left or at the right."""
        style = self.styles.number("heading", "General", left=left, inset=left and _is_inset(at))
        return f'<c r="{at}" s="{style}" t="inlineStr"><is><t>{escape(text)}</t></is></c>'

    def value(self, at: str, kind: Kind, value: Value, face: Face, shown_as: str) -> str:
        """Return the cell of one value, typed and formatted as its kind says; an empty one for no value.

        Parameters
        ----------
        kind
            How it is shown; minutes of a ``duration`` and minor units of ``minor`` are converted.
        shown_as
            The number format, if it is no text.
        """
        if value is None:
            return f'<c r="{at}" s="{self.styles.number(face, "General", left=True)}"/>'
        if is_text(kind) or isinstance(value, str):
            return self.text(at, _words(value), face)
        left = is_left(kind)
        style = self.styles.number(face, shown_as, left=left, inset=left and _is_inset(at))
        return f'<c r="{at}" s="{style}"><v>{_stored(kind, value, self.currency)}</v></c>'


def row_of(number: int, cells: Iterable[str], *, height_pt: float | None = None) -> str:
    """Return one row of a sheet; without a height the spreadsheet finds one that fits."""
    height = f' ht="{height_pt}" customHeight="1"' if height_pt else ""
    return f'<row r="{number}"{height}>{"".join(cells)}</row>'


def _is_inset(at: str) -> bool:
    """Whether a cell stands right of the first column."""
    return not (at[0] == "A" and at[1].isdigit())


def _words(value: Value) -> str:
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)


def _stored(kind: Kind, value: Any, currency: str) -> object:
    """The number that the spreadsheet keeps: days for a moment or a duration, an amount in the currency."""
    if kind == "duration":
        return timedelta(minutes=value) / DAY
    if kind == "minor":
        return major(value, currency)
    if isinstance(value, datetime):
        return (value - DAY_ZERO) / DAY
    return value.toordinal() - DAY_ZERO.toordinal() if isinstance(value, date) else value
