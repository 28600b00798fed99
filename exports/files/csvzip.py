"""The tables of a report as CSV files in a zip."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from io import BytesIO, StringIO
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile

from exports.files.jsonfile import MINOR
from exports.money import major
from exports.report import UsageReport
from exports.sheet import Column, Kind, Sheet, Value
from exports.summary import status
from exports.tables import tables
from exports.text import clean, guard, like_a_number

READ_ME = """{event}, {town}
{title}
{status}

One CSV file a table: UTF-8 with a byte order mark, text in double quotes, lines end CR LF.
Fields are separated by a {separator}, decimals by a {decimal}.
A heading ends in its unit: _min minutes, _m metres, _pct per cent, _lb and _kg tensions, _at local times of {zone}.
Amounts are in {currency}, which stands in the column currency. Where the rows of a column have different units, the
column unit says which. Dates are 2026-07-08, times 2026-07-08 14:05. An empty field means: not known, or does not
apply.

Text that a spreadsheet would run as a formula or take for a number or a date carries an apostrophe before its first
sign. Take it off to have the text as it was typed. Numbers are never marked.

{tables}
"""


@dataclass(frozen=True)
class Dialect:
    """How a CSV file separates its fields and writes decimals."""

    separator: str = ","
    decimal: str = "."


DIALECTS = {"comma": Dialect(), "semicolon": Dialect(";", ","), "semicolon_point": Dialect(";", ".")}
"""What spreadsheets open by a double click: the first where decimals have a point, the second where a comma."""

WORDS = {",": "comma", ";": "semicolon", ".": "point"}

DIGITS: dict[Kind, int] = {
    "count": 0, "m": 2, "km": 3, "min": 1, "spare": 1, "duration": 1, "pct": 2, "rate": 2, "change": 2, "tension": 2,
}  # fmt: skip
"""Places to which the figures of a kind are rounded."""

UNITS: dict[Kind, str] = {"count": "", "m": "m", "min": "min", "pct": "%"}


def write_csv_zip(report: UsageReport, dialect: Dialect = DIALECTS["comma"]) -> bytes:
    """Return every table of the report as a CSV file, and a READ ME on how to read them, in one zip.

    Values are rounded by their kind, amounts are in the currency itself; text passes `exports.text.guard`.
    """
    file = BytesIO()
    sheets = tables(report)
    with ZipFile(file, "w", ZIP_DEFLATED) as archive:
        archive.writestr("READ ME.txt", _read_me(report, sheets, dialect).encode("utf-8-sig"))
        for sheet in sheets:
            archive.writestr(f"{sheet.key}.csv", csv_text(sheet, report.currency, dialect).encode("utf-8-sig"))
    return file.getvalue()


def csv_text(sheet: Sheet, currency: str, dialect: Dialect = DIALECTS["comma"]) -> str:
    """Return one table as CSV, with the keys of its columns as headings."""
    text = StringIO()
    columns = list(_columns(sheet, currency))
    text.write(dialect.separator.join(_quoted(key) for key, _ in columns) + "\r\n")
    for row in sheet.rows:
        text.write(dialect.separator.join(_field(of(row), dialect) for _, of in columns) + "\r\n")
    return text.getvalue()


def _columns(sheet: Sheet, currency: str) -> Iterator[tuple[str, Callable[[Any], Value | Decimal]]]:
    """The columns of the file: those of the table, the unit where rows have different ones, the currency."""
    mixed = next((column for column in sheet.columns if callable(column.kind)), None)
    for column in sheet.columns:
        if column.filed:
            yield column.key.removesuffix(MINOR), _value_of(column, currency)
        if column is mixed:
            yield "unit", _unit_of(column, currency)
    if any(column.kind == "minor" for column in sheet.columns):
        yield "currency", lambda row: currency


def _value_of(column: Column, currency: str) -> Callable[[Any], Value | Decimal]:
    def of(row: Any) -> Value | Decimal:
        value, kind = column.of(row), column.kind_of(row)
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            return value
        return major(value, currency) if kind == "minor" else round(Decimal(str(value)), DIGITS.get(kind, 0))

    return of


def _unit_of(column: Column, currency: str) -> Callable[[Any], Value]:
    return lambda row: currency if column.kind_of(row) == "minor" else UNITS[column.kind_of(row)]


def _field(value: Value | Decimal, dialect: Dialect) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return _quoted("yes" if value else "no")
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="seconds" if value.second else "minutes")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, str):
        return _quoted(f"'{clean(value)}" if like_a_number(value) else guard(value))
    return f"{value:f}".replace(".", dialect.decimal)


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"'


def _read_me(report: UsageReport, sheets: tuple[Sheet, ...], dialect: Dialect) -> str:
    return READ_ME.format(
        event=clean(report.event_name),
        town=clean(report.town),
        title=clean(report.title),
        status=clean(status(report)),
        currency=report.currency,
        zone=report.zone_name,
        separator=WORDS[dialect.separator],
        decimal=WORDS[dialect.decimal],
        tables="\n".join(f"{sheet.key}.csv  {sheet.name}. {clean(sheet.note)}" for sheet in sheets),
    )
