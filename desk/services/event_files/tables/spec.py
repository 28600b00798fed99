"""What a table of the event files is: its columns, each described once for reader, template and page."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from desk.models import Base
from desk.trade.event.event_time import EventClock


class CellFault(Exception):
    """A cell that cannot be used: what was found (else the cell's text in quotes) and what is expected."""

    def __init__(self, expected: str, found: str = "") -> None:
        super().__init__(expected)
        self.expected = expected
        self.found = found


@dataclass(frozen=True)
class Around:
    """What reading or writing a cell may need: the event's clock and currency, and the values of the row so far."""

    clock: EventClock
    currency: str
    values: dict[str, Any]


Parse = Callable[[str, Around], Any]
Write = Callable[[Any, Around], Any]


@dataclass(frozen=True)
class Column:
    """One column.

    Attributes
    ----------
    parse : callable
        Turns the cell's text into a value or raises `CellFault`.
    default : object
        The value of an empty cell or of a column that is left out.
    refers : str
        The table whose key the cell must name.
    stored : str or None
        The name in the record of its table, empty for the same; None where no record holds the value as it is.
    write : callable, optional
        Turns the value of a record into the cell of a written event, where its type does not say enough.
    """

    name: str
    explanation: str
    example: str
    parse: Parse
    required: bool = False
    default: Any = None
    refers: str = ""
    stored: str | None = ""
    write: Write | None = None

    @property
    def attribute(self) -> str:
        return self.stored or self.name


@dataclass(frozen=True)
class Row:
    """One row that was read: its number in the file (the header is 1) and its values by column.

    A cell with a fault has no entry in `values`.
    """

    number: int
    values: dict[str, Any]

    def __getitem__(self, column: str) -> Any:
        return self.values[column]

    def get(self, column: str) -> Any:
        return self.values.get(column)


@dataclass(frozen=True)
class RowFault:
    """A fault between the cells of one row, shown at `column`."""

    column: str
    found: str
    expected: str


RowCheck = Callable[[Row], Iterator[RowFault]]


@dataclass(frozen=True, kw_only=True)
class Table:
    """One table: a CSV file of a folder or a sheet of a workbook.

    Attributes
    ----------
    key : tuple of str
        Columns that together may come once only.
    checks : tuple of callable
        What must hold between the cells of one row; called on rows without a fault.
    duplicate_help : str
        What to do about a row whose key came before.
    record : type of Base, optional
        What a row is in the records; written in the order of its column `order`.
    """

    name: str
    explanation: str
    columns: tuple[Column, ...]
    key: tuple[str, ...] = ()
    required: bool = False
    checks: tuple[RowCheck, ...] = ()
    duplicate_help: str = "each only once: change or delete one of the two rows"
    record: type[Base] | None = None
    order: str = "id"
    by_name: dict[str, Column] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_name", {column.name: column for column in self.columns})
