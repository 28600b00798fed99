"""The care of machines: what is due by racquets or hours, done by one touch, and the list of checks."""

from __future__ import annotations

from flask import Blueprint, flash, request, url_for
from werkzeug.wrappers import Response
from wtforms import IntegerField, SelectField, StringField
from wtforms.validators import InputRequired, Length, Optional

from desk.queries.machines.wear import care_rows, check_list, wear_rows
from desk.services.machines import check_list as lists
from desk.services.machines import servicing
from desk.trade.bench.care_intervals import HOURS, RACQUETS
from desk.web import context
from desk.web.forms import DeskForm, options, saved, see, show, within

blueprint = Blueprint("care", __name__)
LATELY = 8


class CareForm(DeskForm):
    note = StringField("Note", [Length(max=300)])


class CheckFields(DeskForm):
    name = StringField("What is checked", [InputRequired("say what is checked"), Length(max=120)])
    every_racquets = IntegerField("Every so many racquets", [Optional(), within(RACQUETS)])
    every_hours = IntegerField("Every so many hours of work", [Optional(), within(HOURS)])
    note = StringField("What to look at, and with what caution", [Length(max=300)])
    machine_id = SelectField("For", coerce=int, default=0)

    def check(self) -> lists.CheckForm:
        return self.asked(lists.CheckForm, machine_id=self.machine_id.data or None)


@blueprint.get("/machines/care")
def page():
    session, event = context.reading(), context.current_event()
    rows = wear_rows(session, event)
    return show("machines/care.html", rows=rows, lately=care_rows(session, event, most=LATELY))


@blueprint.post("/machines/<int:machine_id>/care/<int:check_id>")
def done(machine_id: int, check_id: int) -> Response:
    note = CareForm().note.data[:300]
    with context.writing() as session:
        care = servicing.note_care(session, context.event_id(), machine_id, check_id, note, acting=context.acting())
        flash(f"{care.check.name} is done; racquets and hours count from here.")
    return see(_way_back(machine_id))


@blueprint.post("/machines/care/<int:care_id>/back")
def take_back(care_id: int) -> Response:
    care = context.do(servicing.take_care_back, care_id)
    flash("Taken back. It counts from the time before.")
    return see(_way_back(care.machine_id))


def _way_back(machine_id: int) -> str:
    to_one = request.args.get("to") == "one"
    return f"{url_for('machines.machine', machine_id=machine_id)}#care" if to_one else url_for("care.page")


@blueprint.get("/machines/checks")
def checks():
    return _list_page()


def _list_page(adding: CheckFields | None = None, changing: CheckFields | None = None, check_id: int = 0):
    names = _machine_names()
    rows = [
        (
            check,
            changing if changing and check.id == check_id else _apart(_form(names, formdata=None, obj=check), check.id),
        )
        for check in check_list(context.reading(), context.current_event())
    ]
    adding = adding or _form(names, formdata=None)
    return show("machines/checks.html", rows=rows, names=names, adding=adding, changing=changing, wrong=check_id)


def _apart(form: CheckFields, check_id: int) -> CheckFields:
    """Give the fields ids of their own: several such forms stand on one page."""
    for field in form:
        field.id = f"{field.name}-{check_id}"
    return form


def _form(names: dict[int, str], **given) -> CheckFields:
    form = CheckFields(**given)
    form.machine_id.choices = options([(0, "all machines"), *((key, f"{name} only") for key, name in names.items())])
    return form


def _machine_names() -> dict[int, str]:
    return {row.machine_id: row.name for row in wear_rows(context.reading(), context.current_event())}


@blueprint.post("/machines/checks")
def add():
    form = _form(_machine_names())
    if saved(form, "It is on the list.", lists.add_check, form.check()):
        return see(url_for("care.checks"))
    return _list_page(adding=form)


@blueprint.post("/machines/checks/<int:check_id>")
def change(check_id: int):
    form = _form(_machine_names())
    if saved(form, "The check is changed.", lists.change_check, check_id, form.check()):
        return see(url_for("care.checks"))
    return _list_page(changing=_apart(form, check_id), check_id=check_id)


@blueprint.post("/machines/checks/<int:check_id>/drop")
def drop(check_id: int) -> Response:
    check = context.do(lists.drop_check, check_id)
    flash(f"{check.name} is off the list. What was done stays in the history of each machine.")
    return see(url_for("care.checks"))
