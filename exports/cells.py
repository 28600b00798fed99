"""Typed cells from the values of a table."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from openpyxl.cell import WriteOnlyCell
from openpyxl.cell.cell import Cell
from openpyxl.worksheet.worksheet import Worksheet

from exports.money import major
from exports.sheet import Kind, Value
from exports.style import Face, Styles, format_of, is_left
from exports.text import clean, guard


@dataclass(frozen=True)
class Cells:
    """Makes the cells of one sheet."""

    sheet: Worksheet
    styles: Styles
    currency: str

    def text(self, text: str, face: Face) -> Cell:
        """Return a cell that is text whatever it begins with: no formula, no error value, no number."""
        text = clean(text)
        cell = self._cell(text, face, "General", left=True, quoted=guard(text) != text)
        cell.data_type = "s"
        return cell

    def heading(self, text: str, *, left: bool) -> Cell:
        """Return the heading of a column, over its values at the left or at the right."""
        return self._cell(text, "heading", "General", left=left)

    def value(self, kind: Kind, value: Value, face: Face, clock: str) -> Cell:
        """Return the cell of one value, typed and formatted as its kind says; an empty one for no value.

        Parameters
        ----------
        kind
            How it is shown; minutes of a ``duration`` and minor units of ``minor`` are converted.
        clock
            The number format of a ``time``.
        """
        if value is None:
            return self._cell(None, face, "General", left=True)
        if is_left(kind):
            return self.text(_words(value), face)
        shown_as = clock if kind == "time" else format_of(kind, self.currency)
        return self._cell(_stored(kind, value, self.currency), face, shown_as, left=False)

    def _cell(self, value: Any, face: Face, number: str, *, left: bool, quoted: bool = False) -> Cell:
        cell = WriteOnlyCell(self.sheet, value=value)
        style = self.styles.get(self.sheet, face, number, left=left, quoted=quoted)
        cell._style = style  # type: ignore[attr-defined]
        return cell


def _words(value: Value) -> str:
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)


def _stored(kind: Kind, value: Any, currency: str) -> Any:
    """The value as the spreadsheet keeps it: a duration in days, an amount in the currency itself."""
    if kind == "duration":
        return timedelta(minutes=value)
    if kind == "minor":
        return major(value, currency)
    return value
