"""Many drop-offs from one spreadsheet: every fault listed, then what would be taken in, then taken in."""

from __future__ import annotations

import csv
import io
from base64 import b64decode, b64encode

from flask import Blueprint, Response, flash, url_for
from flask_wtf.file import FileField
from wtforms import HiddenField

from desk.errors import BadInput, gathered
from desk.queries.counter import counter
from desk.services.counter.bulk_drop_offs import preview_bulk, take_bulk
from desk.services.event_files import TABLES, ScriptedDropOff, read_bulk
from desk.web import context
from desk.web.forms import KeyedForm, saving, see, show

blueprint = Blueprint("drop_off_sheet", __name__)
LARGEST_BYTES = 300_000
DROP_OFFS = next(table for table in TABLES if table.name == "dropoffs")


class SheetForm(KeyedForm):
    file = FileField("Spreadsheet or CSV file")
    # What was checked goes along with the question, so that exactly this is taken in.
    checked = HiddenField()
    name = HiddenField()

    faults: tuple = ()

    def take(self, error) -> None:
        super().take(error)
        self.faults = gathered(getattr(error, "faults", ()))

    def sheet(self) -> tuple[bytes, str]:
        """Return the file and its name: the one just sent, or the one that was checked before."""
        if self.file.data:
            return self.file.data.read(LARGEST_BYTES + 1), self.file.data.filename or "sheet"
        try:
            return b64decode(self.checked.data or "", validate=True), self.name.data or "sheet"
        except ValueError:
            return b"", ""


@blueprint.get("/drop-off-sheet")
def page():
    return _show(SheetForm())


def _show(form: SheetForm, visits: list | None = None):
    names = counter.player_names(context.reading(), context.current_event()) if visits else {}
    return show("counter/drop_off/sheet.html", form=form, visits=visits, names=names, columns=DROP_OFFS.columns)


@blueprint.post("/drop-off-sheet")
def check():
    form = SheetForm()
    if not form.validate():
        return _show(form)
    data, name = form.sheet()
    try:
        asked = _read(context.reading(), data, name)
        event, acting = context.current_event(), context.acting()
        visits = preview_bulk(context.reading(), event, asked, request_key="preview", acting=acting)
    except BadInput as error:
        form.take(error)
        return _show(form)
    form.checked.data, form.name.data = b64encode(data).decode(), name
    return _show(form, visits)


@blueprint.post("/drop-off-sheet/take")
def take():
    form = SheetForm()
    data, name = form.sheet()
    if not form.validate_on_submit():
        return _show(form)
    try:
        asked = _read(context.reading(), data, name)
    except BadInput as error:
        form.take(error)
        return _show(form)
    with saving(form) as session:
        key = form.request_key.data or ""
        taken = take_bulk(session, context.event_id(), asked, request_key=key, acting=context.acting())
        flash(f"{len(taken)} visits of {name} are taken in.")
        return see(url_for("drop_off.page"))
    return _show(form)


def _read(session, data: bytes, name: str) -> tuple[ScriptedDropOff, ...]:
    if not data:
        raise BadInput("Choose the file with the drop-offs first.", fields={"file": "choose a file"})
    if len(data) > LARGEST_BYTES:
        raise BadInput("The file is larger than 300 kB; send it in parts.", fields={"file": "is too large"})
    return read_bulk(session, context.event_id(), data=data, file_name=name)


@blueprint.get("/drop-off-sheet/empty.csv")
def empty() -> Response:
    text = io.StringIO()
    rows = csv.writer(text)
    rows.writerow(column.name for column in DROP_OFFS.columns)
    headers = {"Content-Disposition": 'attachment; filename="dropoffs.csv"'}
    return Response(text.getvalue(), mimetype="text/csv", headers=headers)
