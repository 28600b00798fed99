"""Many drop-offs from one spreadsheet: every fault listed, then what would be taken in, then taken in."""

from __future__ import annotations

from base64 import b64decode, b64encode

from flask import Blueprint, Response, flash, url_for
from wtforms import HiddenField

from desk.errors import BadInput
from desk.queries.counter import counter
from desk.services.counter.bulk_drop_offs import preview_bulk, take_bulk
from desk.services.event_files import TABLES, ScriptedDropOff, read_bulk
from desk.web import context
from desk.web.counter.ready import priced
from desk.web.forms import KeyedForm, saving, see, show
from desk.web.table_files import SheetForm, empty_sheet, require_sheet

blueprint = Blueprint("drop_off_sheet", __name__)
DROP_OFFS = next(table for table in TABLES if table.name == "dropoffs")


class VisitsForm(SheetForm, KeyedForm):
    # What was checked goes along with the question, so that exactly this is taken in.
    checked = HiddenField()
    name = HiddenField()

    def sheet(self) -> tuple[bytes, str]:
        """Return the file and its name: the one just sent, or the one that was checked before."""
        if self.file.data:
            return super().sheet()
        try:
            return b64decode(self.checked.data, validate=True), self.name.data or "sheet"
        except ValueError:
            return b"", ""


@blueprint.get("/drop-off-sheet")
def page():
    return _show(VisitsForm())


def _show(form: VisitsForm, visits: list | None = None):
    session, event = context.reading(), context.current_event()
    shown = (
        {}
        if not visits
        else {
            "names": counter.player_names(session, event),
            "strings": dict(counter.string_choices(session, event)),
            "refused": [one for one in visits if one.refused],
            "about": [priced(event, one.form.player_id, one.drafts).all_own_minor for one in visits],
        }
    )
    return show("counter/drop_off/sheet.html", form=form, visits=visits, columns=DROP_OFFS.columns, **shown)


@blueprint.post("/drop-off-sheet")
def check():
    form = VisitsForm()
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
    form = VisitsForm()
    data, name = form.sheet()
    if not form.validate_on_submit():
        return _show(form)
    try:
        asked = _read(context.reading(), data, name)
    except BadInput as error:
        form.take(error)
        return _show(form)
    with saving(form) as session:
        key = form.request_key.data
        taken = take_bulk(session, context.event_id(), asked, request_key=key, acting=context.acting())
        flash(f"{len(taken)} visits of {name} are taken in.")
        return see(url_for("drop_off.page"))
    return _show(form)


def _read(session, data: bytes, name: str) -> tuple[ScriptedDropOff, ...]:
    require_sheet(data, "drop-offs")
    return read_bulk(session, context.event_id(), data=data, file_name=name)


@blueprint.get("/drop-off-sheet/empty.csv")
def empty() -> Response:
    return empty_sheet(DROP_OFFS)
