"""Raw rows: what stands in a CSV file or a sheet, as text, before any cell is understood."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from desk.errors import InputFault
from desk.services.event_files.tables.spec import Table

UNREADABLE = "\x00"
"""Stands for a cell whose fault is already listed."""

MOST_ROWS = 50_000


@dataclass(frozen=True)
class RawRow:
    """The cells of one row by column name; `number` counts from 1 as a spreadsheet does."""

    number: int
    cells: dict[str, str]


@dataclass
class RawTable:
    """The rows of one table, and how messages name the place (`label`)."""

    label: str
    rows: list[RawRow] = field(default_factory=list)

    def where(self, number: int, column: str = "") -> str:
        if number == 0:
            return f"{self.label}, setting {column}" if column else self.label
        return f"{self.label} row {number}, column {column}" if column else f"{self.label} row {number}"


def clean(text: str) -> str:
    """Return the text of a cell without the blanks around it."""
    return text.replace("\xa0", " ").strip()


def quoted(text: str) -> str:
    """Return a cell's text for a message, cut where it is long."""
    return f'"{text}"' if len(text) <= 60 else f'"{text[:57]}..."'


def value_text(value: object) -> str:
    """Return a cell's value as the text that a CSV file would hold: dates 2031-05-12, times 14:05."""
    match value:
        case None:
            text = ""
        case bool():
            text = "yes" if value else "no"
        case float():
            text = f"{value:.12g}"
        case datetime():
            text = _moment_text(value)
        case date():
            text = value.isoformat()
        case time():
            text = _clock_text(timedelta(hours=value.hour, minutes=value.minute, seconds=value.second))
        case timedelta():
            text = _clock_text(value)
        case _:
            text = clean(str(value))
    return text


def _moment_text(value: datetime) -> str:
    # Spreadsheets count days from 1900: a time past midnight (24:30) comes as an hour of day one.
    if value.year <= 1900:
        return _clock_text(value - datetime(1899, 12, 31))
    if value.time() == time():
        return value.date().isoformat()
    return f"{value:%Y-%m-%d %H:%M}"


def _clock_text(span: timedelta) -> str:
    seconds = round(span.total_seconds())
    hours, rest = divmod(seconds, 3600)
    minutes, seconds = divmod(rest, 60)
    return f"{hours:02d}:{minutes:02d}" + (f":{seconds:02d}" if seconds else "")


def to_raw_table(table: Table, label: str, grid: Iterable[tuple[int, list[str]]], faults: list[InputFault]) -> RawTable:
    """Give the rows of GRID the names of the header; rows that are empty or begin with # are passed over."""
    raw = RawTable(label)
    header: list[str] | None = None
    for number, cells in grid:
        if not any(cells) or cells[0].startswith("#"):
            continue
        if header is None:
            header = [_column_name(cell) for cell in cells]
            _check_header(table, raw, number, header, faults)
        elif len(raw.rows) >= MOST_ROWS:
            faults.append(InputFault(where=label, found=f"more than {MOST_ROWS} rows", expected="fewer rows"))
            break
        else:
            raw.rows.append(_raw_row(raw, number, header, cells, faults))
    if header is None:
        columns = ", ".join(column.name for column in table.columns)
        faults.append(InputFault(where=label, found="nothing in it", expected=f"a header row: {columns}"))
    return raw


def _raw_row(raw: RawTable, number: int, header: list[str], cells: list[str], faults: list[InputFault]) -> RawRow:
    if any(cells[len(header) :]):
        faults.append(
            InputFault(
                where=raw.where(number),
                found=f"{len(cells)} cells",
                expected=f"{len(header)} as in the header row; a cell with the separator in it goes in quotes",
            )
        )
    return RawRow(number, {name: cell for name, cell in zip(header, cells, strict=False) if name})


def _column_name(cell: str) -> str:
    return "_".join(cell.casefold().split())


def _check_header(table: Table, raw: RawTable, number: int, header: list[str], faults: list[InputFault]) -> None:
    where, allowed = raw.where(number), ", ".join(table.by_name)
    for name in header:
        if name and name not in table.by_name:
            found = f"an unknown column {quoted(name)}"
            faults.append(InputFault(where=where, found=found, expected=f"only the columns {allowed}"))
    for name in sorted({name for name in header if name and header.count(name) > 1}):
        faults.append(InputFault(where=where, found=f"the column {quoted(name)} twice", expected="it once"))
    for column in table.columns:
        if column.required and column.name not in header:
            expected = f"it: {column.explanation}, such as {quoted(column.example)}"
            faults.append(InputFault(where=where, found=f"no column {column.name}", expected=expected))
