"""Machines: which may string today and why, calibration, out of service and back, and how each reads over time."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from flask import Blueprint, flash, request, url_for
from werkzeug.wrappers import Response
from wtforms import RadioField, SelectField, StringField
from wtforms.validators import InputRequired, Length, NumberRange

from desk.models import Machine
from desk.queries.finding import find_of
from desk.queries.machines.machines import MachineRow, ReadingRow, hours_by_day, machine_rows, trend_rows, whole
from desk.queries.machines.wear import care_rows, wear_rows
from desk.services.machines import calibrating, machines
from desk.trade.racquet.value_kinds import REACH_CM
from desk.web import context
from desk.web.display import UNIT_WORDS
from desk.web.forms import DeskForm, FigureField, MeasureField, options, saved, saving, see, show, within
from desk.web.hours import HoursForm, read_hours, today_at
from desk.web.machines.calibration import as_last_time
from desk.web.plan.stranded import or_ask

blueprint = Blueprint("machines", __name__)
KINDS = (("constant_pull", "constant pull"), ("lockout", "lockout"), ("drop_weight", "drop weight"))
PASSED = "Within the tolerance: it may string today."
FAILED = "Outside the tolerance: the plan leaves this machine out today until it passes. Its racquets go elsewhere."
DRAWN = 30
STEP_X, HALF_HEIGHT, SHOWN_LB = 12, 40, 4.0
UNITS = options(UNIT_WORDS.items())
TENSION = [InputRequired("give the figure"), NumberRange(1, 100, "1 to 100")]


class MachineFields(DeskForm):
    name = StringField("Name, as it stands on the bench", [InputRequired("give the machine a name"), Length(max=60)])
    kind = SelectField("How it pulls", choices=options(KINDS))
    reach_cm = MeasureField("Reach of its gripper, cm", [within(REACH_CM)], default=35.0)


class OutForm(DeskForm):
    reason = StringField("What is wrong with it", [Length(max=200)])
    back = StringField("Back at, if known", [Length(max=5)])


class CalibrationForm(DeskForm):
    unit = RadioField("The gauge reads in", [InputRequired("choose pounds or kilos")], choices=UNITS)
    reference_1 = FigureField("First tension set", TENSION)
    reading_1 = FigureField("Gauge then read", TENSION)
    reference_2 = FigureField("Second tension set", TENSION)
    reading_2 = FigureField("Gauge then read", TENSION)

    def readings(self) -> list[calibrating.Reading]:
        pairs = ((self.reference_1, self.reading_1), (self.reference_2, self.reading_2))
        return [calibrating.Reading(reference=a.data, reading=b.data, unit=self.unit.data) for a, b in pairs]


def _rows() -> list[MachineRow]:
    return machine_rows(context.reading(), context.current_event(), context.event_time(), readings=2)


def _page(form: MachineFields):
    return show("machines/page.html", rows=_rows(), kinds=dict(KINDS), form=form)


@blueprint.get("/machines")
def page():
    return _page(MachineFields(formdata=None))


@blueprint.post("/machines")
def add():
    form = MachineFields()
    done = f"{form.name.data.strip()} is added. Calibrate it before the first racquet."
    if saved(form, done, machines.add_machine, form.asked(machines.MachineForm)):
        return see(url_for("machines.page"))
    return _page(form)


def _machine_page(machine_id: int, **sent: DeskForm):
    session, event = context.reading(), context.current_event()
    machine = find_of(session, event, Machine, machine_id, "machine")
    rows = _rows()
    row = next(row for row in rows if row.machine_id == machine.id)
    readings = trend_rows(session, event).get(machine.id, [])[-DRAWN:]
    forms = {
        "calibration": CalibrationForm(formdata=None, data=as_last_time([row, *rows]) | {"unit": None}),
        "out": OutForm(formdata=None),
        "hours": HoursForm(formdata=None),
        "edit": MachineFields(formdata=None, obj=machine),
    } | sent
    forms["hours"].offer_days()
    days = [(day, hours, hours == [whole(day)]) for day, hours in hours_by_day(session, event, machine)]
    now = context.event_time()
    to_come = [one for one in machine.outages if one.from_at > now and one.to_at is None]
    values = {
        "days": days,
        "to_come": to_come,
        "readings": readings,
        "chart": chart(readings),
        "tolerance": event.calibration_tolerance_lb,
        "wear": next(one for one in wear_rows(session, event) if one.machine_id == machine.id),
        "care": care_rows(session, event, machine_id=machine.id),
    }
    return show("machines/machine.html", row=row, kinds=dict(KINDS), **values, **forms)


@blueprint.get("/machines/<int:machine_id>")
def machine(machine_id: int):
    return _machine_page(machine_id)


@blueprint.post("/machines/<int:machine_id>")
def change(machine_id: int):
    form = MachineFields()
    if saved(form, "The machine is changed.", machines.edit_machine, machine_id, form.asked(machines.MachineForm)):
        return _seen(machine_id)
    return _machine_page(machine_id, edit=form)


def _seen(machine_id: int) -> Response:
    return see(url_for("machines.machine", machine_id=machine_id))


@blueprint.post("/machines/<int:machine_id>/hours")
def hours(machine_id: int):
    form = HoursForm()
    form.offer_days()
    if form.validate_on_submit():
        with saving(form, "The hours in service are kept. A new plan is being made.") as session:
            spans = _spans(form)
            machines.set_hours_of_day(
                session, context.event_id(), machine_id, form.day().date, spans, acting=context.acting()
            )
            return _seen(machine_id)
    return _machine_page(machine_id, hours=form)


def _spans(form: HoursForm) -> list[tuple[datetime, datetime]] | None:
    """Return the hours of a day: None, all day, where none are typed; none at all for "none"."""
    text = form.hours.data.strip()
    return [] if text.lower() == "none" else read_hours(form.hours, form.day().date) if text else None


@blueprint.post("/machines/<int:machine_id>/calibrate")
def calibrate(machine_id: int):
    form = CalibrationForm()
    if form.validate_on_submit():
        with saving(form) as session:
            rows = calibrating.calibrate(
                session, context.event_id(), machine_id, form.readings(), acting=context.acting()
            )
            flash(PASSED if all(row.passed for row in rows) else FAILED)
            return _seen(machine_id)
    return _machine_page(machine_id, calibration=form)


@blueprint.post("/machines/<int:machine_id>/out")
def take_out(machine_id: int):
    form = OutForm()
    if form.validate_on_submit():
        with saving(form) as session:
            why = {"reason": form.reason.data or "no reason was given", "back_at": today_at(form.back.data)}
            machines.take_out_of_service(session, context.event_id(), machine_id, acting=context.acting(), **why)
            flash(
                f"{session.get_one(Machine, machine_id).name} is out of service. A new plan is being made without it."
            )
    return _machine_page(machine_id, out=form) if form.errors or form.trouble else see(or_ask(url_for("machines.page")))


@blueprint.post("/machines/<int:machine_id>/back")
def put_back(machine_id: int) -> Response:
    context.do(machines.put_back_in_service, machine_id)
    flash("It is in service. After a repair calibrate it first.")
    return _seen(machine_id) if request.args.get("to") == "one" else see(url_for("machines.page"))


@blueprint.post("/machines/<int:machine_id>/moved")
def moved(machine_id: int) -> Response:
    context.do(machines.note_move, machine_id)
    flash("Noted. Calibrate it before its next racquet.")
    return _seen(machine_id)


def chart(readings: list[ReadingRow]) -> dict[str, object] | None:
    """Return where each reading lies on the drawing: x by its turn, y by pounds off, zero in the middle."""
    if not readings:
        return None
    scale = HALF_HEIGHT / SHOWN_LB
    tolerance = float(Decimal(str(readings[-1].tolerance_lb)))
    points = []
    for turn, row in enumerate(readings, start=1):
        drawn_lb = max(-SHOWN_LB, min(SHOWN_LB, row.off_lb))
        at = {"x": STEP_X * turn, "y": round(HALF_HEIGHT - drawn_lb * scale, 1)}
        points.append(at | {"passed": row.passed, "off": round(row.off_lb, 1)})
    edge = round(min(tolerance, SHOWN_LB) * scale, 1)
    return {"points": points, "width": STEP_X * (len(points) + 1), "height": 2 * HALF_HEIGHT, "edge": edge}
