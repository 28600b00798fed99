"""The look of every sheet, defined once: black on white, one accent for what needs a look."""

from typing import Literal

from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Alignment, Border, Font, Side
from openpyxl.worksheet.worksheet import Worksheet

from exports.money import number_format
from exports.sheet import Kind

Face = Literal[
    "title",
    "note",
    "alert_note",
    "large_note",
    "large_alert_note",
    "heading",
    "body",
    "alert",
    "total",
    "large",
    "large_alert",
    "strong",
]

FONT = "Arial"
"""On every system, or with a twin of the same widths; its figures all have one width."""

BLACK, GREY, HAIRLINE, ACCENT = "000000", "595959", "BFBFBF", "B4400A"
"""The accent has a contrast of 5.7 to 1 on white (WCAG 2.2, 1.4.3 asks for 4.5)."""

CLOCK, DAY_AND_CLOCK = "hh:mm", "d mmm hh:mm"

NUMBER_FORMATS: dict[Kind, str] = {
    "text": "General",
    "yes": "General",
    "count": "#,##0",
    "m": "#,##0.0",
    "km": "#,##0.00",
    "min": "0.0",
    "spare": "+0;-0;0",
    "duration": "[h]:mm",
    "date": "ddd d mmm yyyy",
    "time": DAY_AND_CLOCK,
    "pct": "0.0",
    "rate": "0.00",
    "change": '+0.0" %";-0.0" %";0" %"',
    "tension": "0.0",
}

WITH_UNIT: dict[Kind, str] = {"m": '#,##0.0" m"', "km": '#,##0.00" km"', "min": '0.0" min"', "pct": '0.0" %"'}
"""Number formats in a column whose rows have different units."""

LINE_PT, LARGE_LINE_PT, LARGE_WORDS_PT, AROUND_PT = 12.75, 22.0, 17.0, 3.5
"""Height of a line of type, of a strong figure and of words in large type, and what a row has above and below it."""

_FONTS: dict[Face, Font] = {
    "title": Font(name=FONT, size=16, bold=True, color=BLACK),
    "note": Font(name=FONT, size=10, color=GREY),
    "alert_note": Font(name=FONT, size=10, bold=True, color=ACCENT),
    "large_note": Font(name=FONT, size=13, color=BLACK),
    "large_alert_note": Font(name=FONT, size=13, bold=True, color=ACCENT),
    "heading": Font(name=FONT, size=10, bold=True, color=BLACK),
    "body": Font(name=FONT, size=10, color=BLACK),
    "alert": Font(name=FONT, size=10, bold=True, color=ACCENT),
    "total": Font(name=FONT, size=10, bold=True, color=BLACK),
    "large": Font(name=FONT, size=14, color=BLACK),
    "large_alert": Font(name=FONT, size=14, bold=True, color=ACCENT),
    "strong": Font(name=FONT, size=18, bold=True, color=BLACK),
}
NORMAL = _FONTS["body"]
"""The face by which a spreadsheet measures the width of columns."""

_ROW = Border(bottom=Side(style="hair", color=HAIRLINE))
_BORDERS: dict[Face, Border] = {
    "heading": Border(bottom=Side(style="medium", color=BLACK)),
    "body": _ROW,
    "alert": _ROW,
    "large": _ROW,
    "large_alert": _ROW,
    "strong": _ROW,
    "total": Border(top=Side(style="thin", color=BLACK)),
}


def font_of(face: Face) -> Font:
    """The type of a face."""
    return _FONTS[face]


def format_of(kind: Kind, currency: str, *, with_unit: bool = False) -> str:
    """The number format of a kind of value."""
    if kind == "minor":
        return number_format(currency)
    return WITH_UNIT.get(kind, NUMBER_FORMATS[kind]) if with_unit else NUMBER_FORMATS[kind]


def is_text(kind: Kind) -> bool:
    """Whether a value of this kind is kept as text."""
    return kind in ("text", "yes")


def is_left(kind: Kind) -> bool:
    """Whether a value of this kind stands at the left of its cell."""
    return kind in ("text", "yes", "date")


class Styles:
    """The styles of one workbook; each is built once and shared by all cells that wear it."""

    def __init__(self, sheet: Worksheet) -> None:
        self._sheet = sheet
        self._built: dict[tuple[Face, str, bool, bool, bool], int] = {}

    def number(self, face: Face, shown_as: str, *, left: bool, quoted: bool = False, inset: bool = False) -> int:
        """Return the number by which a cell names its style.

        Parameters
        ----------
        shown_as
            The number format.
        quoted
            Tells the spreadsheet that the text is no formula, also when it is edited.
        inset
            Keeps text off the figures at its left.
        """
        key = (face, shown_as, left, quoted, inset)
        if key not in self._built:
            self._built[key] = self._build(face, shown_as, left=left, quoted=quoted, inset=inset)
        return self._built[key]

    def _build(self, face: Face, shown_as: str, *, left: bool, quoted: bool, inset: bool) -> int:
        cell = WriteOnlyCell(self._sheet)
        cell.font = _FONTS[face]
        cell.border = _BORDERS.get(face, Border())
        cell.number_format = shown_as
        heading = face == "heading"
        cell.alignment = Alignment(
            horizontal="left" if left else "right",
            vertical="bottom" if heading else "center",
            wrap_text=heading or left,
            indent=int(inset),
        )
        cell.quotePrefix = quoted
        return int(cell.style_id)
