"""The tables of a report as CSV files in a zip."""

import csv
from datetime import date, datetime
from io import BytesIO, StringIO
from zipfile import ZIP_DEFLATED, ZipFile

from exports.report import UsageReport
from exports.sheet import Sheet, Value
from exports.summary import status
from exports.tables import tables
from exports.text import clean, guard

READ_ME = """{event}, {town}
{title}
{status}

One CSV file a table: UTF-8 with a byte order mark, comma-separated, text in double quotes, lines end CR LF.
A heading ends in its unit: _min minutes, _m metres, _minor minor units of {currency}, _pct per cent,
_lb and _kg tensions, _at local times of {zone}. Dates are 2026-07-08, times 2026-07-08 14:05.
An empty field means: not known, or does not apply.

Text that a spreadsheet would run as a formula carries an apostrophe before its first sign (= + - @, also behind
a tab, a line end or a semicolon). Take it off to have the text as it was typed. Numbers are never marked.

{tables}
"""


def write_csv_zip(report: UsageReport) -> bytes:
    """Return every table of the report as a CSV file, and a READ ME on how to read them, in one zip.

    Values are raw: minutes, metres, minor units; text passes `exports.text.guard`.
    """
    file = BytesIO()
    sheets = tables(report)
    with ZipFile(file, "w", ZIP_DEFLATED) as archive:
        archive.writestr("READ ME.txt", _read_me(report, sheets).encode("utf-8-sig"))
        for sheet in sheets:
            archive.writestr(f"{sheet.key}.csv", csv_text(sheet).encode("utf-8-sig"))
    return file.getvalue()


def csv_text(sheet: Sheet) -> str:
    """Return one table as CSV, with the keys of its columns as headings."""
    text = StringIO()
    writer = csv.writer(text, quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow(column.key for column in sheet.columns)
    for row in sheet.rows:
        writer.writerow(_field(column.of(row)) for column in sheet.columns)
    return text.getvalue()


def _field(value: Value) -> str | int | float:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="seconds" if value.second else "minutes")
    if isinstance(value, date):
        return value.isoformat()
    return guard(value) if isinstance(value, str) else value


def _read_me(report: UsageReport, sheets: tuple[Sheet, ...]) -> str:
    return READ_ME.format(
        event=clean(report.event_name),
        town=clean(report.town),
        title=clean(report.title),
        status=clean(status(report)),
        currency=report.currency,
        zone=report.zone_name,
        tables="\n".join(f"{sheet.key}.csv  {sheet.name}. {clean(sheet.note)}" for sheet in sheets),
    )
