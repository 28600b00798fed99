"""What a table is, before any file: columns, rows, charts."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal

Value = str | int | float | bool | date | datetime | None

Kind = Literal[
    "text",
    "yes",
    "count",
    "m",
    "km",
    "min",
    "spare",
    "duration",
    "date",
    "time",
    "minor",
    "pct",
    "rate",
    "change",
    "tension",
]
"""How a value is shown.

``m`` and ``km`` lengths; ``min`` minutes with one decimal; ``spare`` whole minutes with their sign; ``duration``
minutes shown as hours and minutes; ``time`` a local moment; ``minor`` an amount in minor units;
``pct`` per cent; ``rate`` per cent with two decimals;
``change`` per cent with their sign; ``tension`` a number of lb or kg; ``yes`` yes or no.
"""


@dataclass(frozen=True, kw_only=True)
class Column:
    """One column of a table.

    Attributes
    ----------
    key
        Name in CSV files; ends in the unit.
    heading
        Name on the sheet.
    kind
        How its values are shown, the same for all rows or by row.
    of
        The value of a row, in the unit of the kind.
    printed
        False: stands right of what is printed.
    filed
        False: an empty column to write in, which no file of data has.
    total
        True: the sum stands below.
    strong
        True: the values are set larger, where the table is.
    alert
        Whether a row's value needs a look; it is then set in bold and in the accent.
    """

    key: str
    heading: str
    kind: Kind | Callable[[Any], Kind]
    of: Callable[[Any], Value]
    printed: bool = True
    filed: bool = True
    total: bool = False
    strong: bool = False
    alert: Callable[[Any], bool] | None = None

    def kind_of(self, row: Any) -> Kind:
        """How the value of this row is shown."""
        return self.kind(row) if callable(self.kind) else self.kind


@dataclass(frozen=True, kw_only=True)
class Chart:
    """A chart of one or two columns over another.

    Of two, each row fills only one: they are drawn in one place.

    Attributes
    ----------
    title
        What it shows, so that no legend is needed.
    along
        Key of the column with the names.
    values
        Keys of the columns drawn; the second is drawn in the accent.
    lying
        True: bars from left to right, for long names.
    beside
        True: right of the table; False: below it.
    unit
        What stands at the axis of the figures.
    sheet
        Key of the table it is drawn from, if not the one it stands beside.
    """

    title: str
    along: str
    values: tuple[str, ...]
    lying: bool = False
    beside: bool = False
    unit: str = "racquets"
    sheet: str = ""


@dataclass(frozen=True, kw_only=True)
class Line:
    """A sentence above a table; with an alert it is set in bold and in the accent, large in larger type."""

    text: str
    alert: bool = False
    large: bool = False


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One table with its charts.

    Attributes
    ----------
    key
        Name of the table in files, also of its CSV file.
    name
        Name of the sheet, at most 31 characters.
    note
        One sentence on what it shows.
    empty
        The sentence that stands where there are no rows.
    filtered
        True: the headings carry filter buttons.
    fixed
        Columns that stay in sight at the left.
    title
        Heading of the page, if not the sheet's name and what is reported.
    lines
        Sentences between the note and the table.
    large
        True: set in larger type, for the page that is read first.
    """

    key: str
    name: str
    note: str
    empty: str
    columns: tuple[Column, ...]
    rows: Sequence[Any] = ()
    charts: tuple[Chart, ...] = ()
    filtered: bool = False
    fixed: int = 1
    title: str = ""
    lines: tuple[Line, ...] = ()
    large: bool = False

    @property
    def printed(self) -> tuple[Column, ...]:
        """The columns that are printed; they stand first."""
        return tuple(column for column in self.columns if column.printed)
