"""Tables as files: one to take along as CSV, and a sheet that somebody sends."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Sequence
from io import BytesIO, StringIO

from flask import Response, send_file
from flask_wtf.file import FileField

from desk.errors import BadInput, gathered
from desk.services.event_files.tables.spec import Table
from desk.web.forms import DeskForm

MIME_TYPES = {
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".csv": "text/csv; charset=utf-8",
    ".zip": "application/zip",
    ".json": "application/json",
}
LARGEST_BYTES = 300_000
FORMULA = ("=", "+", "-", "@", "\t")
FIGURE = re.compile(r"-?\d+(\.\d+)?")


def as_file(content: bytes, name: str) -> Response:
    """Send a sheet as a file of that name."""
    suffix = name[name.rindex(".") :]
    return send_file(BytesIO(content), mimetype=MIME_TYPES[suffix], as_attachment=True, download_name=name)


def csv_file(name: str, rows: Iterable[Sequence[str]]) -> Response:
    """Send rows as CSV; a cell that a spreadsheet would take for a formula gets an apostrophe."""
    out = StringIO()
    csv.writer(out).writerows([_harmless(cell) for cell in row] for row in rows)
    named = {"Content-Disposition": f'attachment; filename="{name}.csv"'}
    return Response(out.getvalue(), mimetype="text/csv", headers=named)


def _harmless(cell: str) -> str:
    return f"'{cell}" if cell.startswith(FORMULA) and not FIGURE.fullmatch(cell) else cell


def empty_sheet(table: Table) -> Response:
    """Send the sheet of a table with nothing but the names of its columns."""
    return csv_file(table.name, [[column.name for column in table.columns]])


class SheetForm(DeskForm):
    """A file that holds a table; `faults` are those found in its cells."""

    file = FileField("Spreadsheet or CSV file")

    faults: tuple = ()

    def take(self, error) -> None:
        super().take(error)
        self.faults = gathered(getattr(error, "faults", ()))

    def sheet(self) -> tuple[bytes, str]:
        """Return the file that was sent, as far as it is looked at, and its name."""
        if not self.file.data:
            return b"", ""
        return self.file.data.read(LARGEST_BYTES + 1), self.file.data.filename or "sheet"


def require_sheet(data: bytes, of_what: str) -> None:
    """Refuse a file that was not chosen, or is larger than a desk's table ever is."""
    if not data:
        raise BadInput(f"Choose the file with the {of_what} first.", fields={"file": "choose a file"})
    if len(data) > LARGEST_BYTES:
        raise BadInput("The file is larger than 300 kB; send it in parts.", fields={"file": "is too large"})
