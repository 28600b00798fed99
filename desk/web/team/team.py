"""Team: who is at work now, hours, home machines, PINs; sick now and back again by one touch each."""

from __future__ import annotations

from flask import Blueprint, flash, url_for
from werkzeug.wrappers import Response
from wtforms import BooleanField, IntegerField, RadioField, SelectField, StringField
from wtforms.validators import InputRequired, Length, Optional

from desk.models import EventDay, Stringer
from desk.queries.bench.bench import machines as machine_pairs
from desk.queries.finding import find_of
from desk.queries.team.team import StringerRow, stringer_rows
from desk.services.money.pay_rates import RATE_PER, set_rate
from desk.services.team import accounts, team
from desk.trade.racquet.value_kinds import PACE
from desk.web import context
from desk.web.display import amount
from desk.web.forms import DeskForm, MoneyField, options, saved, saving, see, show, within
from desk.web.hours import HoursForm, read_hours, today_at
from desk.web.plan.stranded import or_ask

blueprint = Blueprint("team", __name__)
HOME = [Optional()]
MAY = ("strings_gut", "strings_on_court", "is_trainee", "most_a_day")


class StringerFields(DeskForm):
    name = StringField("Name", [InputRequired("give the stringer’s name"), Length(max=80)])
    home_machine_id = SelectField("Home machine", coerce=int, validators=HOME)
    hours = StringField("Hours on every day", [Length(max=80)], default="09:00-13:00, 14:00-19:00")


class ChangeForm(DeskForm):
    name = StringField("Name", [InputRequired("give the stringer’s name"), Length(max=80)])
    home_machine_id = SelectField("Home machine", coerce=int, validators=HOME)
    pace_override = IntegerField("Pace in per cent of house time", [Optional(), within(PACE)])
    strings_gut = BooleanField("Strings natural gut")
    strings_on_court = BooleanField("Takes racquets from the court")
    is_trainee = BooleanField("A trainee: no natural gut, nothing from the court")
    most_a_day = IntegerField("Most racquets a day", [Optional()])


class RateForm(DeskForm):
    amount = MoneyField("Rate", [Optional(), Length(max=20)])
    per = RadioField("Paid", choices=options(RATE_PER.items()), default="racquet")


class AwayForm(DeskForm):
    reason = StringField("Why", [Length(max=120)])
    back = StringField("Back at, if known", [Length(max=5)])


class PinForm(DeskForm):
    pin = StringField("PIN, 4 to 8 digits", [Length(max=8)])


def _homes() -> list[tuple[int, str]]:
    return [(0, "any"), *machine_pairs(context.reading(), context.current_event())]


def _rows() -> list[StringerRow]:
    return stringer_rows(context.reading(), context.current_event(), context.event_time())


def _page(form: StringerFields | None = None):
    form = form or StringerFields(formdata=None)
    form.home_machine_id.choices = options(_homes())
    return show("team/page.html", rows=_rows(), form=form)


@blueprint.get("/team")
def page():
    return _page()


@blueprint.post("/team")
def add():
    form = StringerFields()
    form.home_machine_id.choices = options(_homes())
    if form.validate_on_submit():
        done = f"{form.name.data.strip()} is on the team. Give a PIN, if benches are signed in by PIN."
        with saving(form, done) as session:
            at, acting = context.event_id(), context.acting()
            asked = form.asked(team.StringerForm, home_machine_id=form.home_machine_id.data or None)
            stringer = team.add_stringer(session, at, asked, acting=acting)
            spans = [span for day in context.current_event().days for span in read_hours(form.hours, day.date)]
            team.set_shifts(session, at, stringer.id, spans, acting=acting)
            return see(url_for("team.page"))
    return _page(form)


def _one(stringer_id: int, **sent: DeskForm):
    stringer = find_of(context.reading(), context.current_event(), Stringer, stringer_id, "stringer")
    row = next(row for row in _rows() if row.stringer_id == stringer.id)
    data = {"name": row.name, "home_machine_id": row.home_machine_id or 0, "pace_override": row.pace_override}
    data |= {name: getattr(stringer, name) for name in MAY}
    rate = "" if stringer.rate_minor is None else amount(stringer.rate_minor, context.head().currency).replace(",", "")
    forms = {
        "change": ChangeForm(formdata=None, data=data),
        "hours": HoursForm(formdata=None),
        "rate": RateForm(formdata=None, data={"amount": rate, "per": stringer.rate_per}),
        "away": AwayForm(formdata=None),
        "pin": PinForm(formdata=None),
    } | sent
    forms["change"].home_machine_id.choices = options(_homes())
    forms["hours"].offer_days()
    now = context.event_time()
    to_come = [one for one in row.absences if one.from_at > now and one.to_at is None]
    return show("team/stringer.html", row=row, to_come=to_come, days=_hours_by_day(row), **forms)


def _hours_by_day(row: StringerRow) -> list[tuple[EventDay, list]]:
    clock = context.clock()
    return [
        (day, [span for span in row.shifts if clock.local(span.from_at).date() == day.date])
        for day in context.current_event().days
    ]


@blueprint.get("/team/<int:stringer_id>")
def stringer(stringer_id: int):
    return _one(stringer_id)


@blueprint.post("/team/<int:stringer_id>")
def change(stringer_id: int):
    form = ChangeForm()
    form.home_machine_id.choices = options(_homes())
    if form.validate_on_submit():
        with saving(form, "Kept. A new plan is being made.") as session:
            home, pace = form.home_machine_id.data or None, session.get_one(Stringer, stringer_id).pace
            asked = form.asked(team.StringerForm, home_machine_id=home, pace=pace)
            team.edit_stringer(session, context.event_id(), stringer_id, asked, acting=context.acting())
            return _seen(stringer_id)
    return _one(stringer_id, change=form)


def _seen(stringer_id: int) -> Response:
    return see(url_for("team.stringer", stringer_id=stringer_id))


@blueprint.post("/team/<int:stringer_id>/hours")
def hours(stringer_id: int):
    form = HoursForm()
    form.offer_days()
    if form.validate_on_submit():
        with saving(form, "The hours are kept. A new plan is being made.") as session:
            day = form.day().date
            spans = read_hours(form.hours, day)
            team.set_hours_of_day(session, context.event_id(), stringer_id, day, spans, acting=context.acting())
            return _seen(stringer_id)
    return _one(stringer_id, hours=form)


@blueprint.post("/team/<int:stringer_id>/away")
def away(stringer_id: int):
    form = AwayForm()
    if form.validate_on_submit():
        with saving(form, "Noted as away. The racquets go to the others; a new plan is being made.") as session:
            why = {"reason": form.reason.data or "sick", "back_at": today_at(form.back.data)}
            team.call_in_absent(session, context.event_id(), stringer_id, acting=context.acting(), **why)
    return _one(stringer_id, away=form) if form.errors or form.trouble else see(or_ask(url_for("team.page")))


@blueprint.post("/team/<int:stringer_id>/back")
def back(stringer_id: int) -> Response:
    found = context.do(team.back_at_work, stringer_id)
    flash(f"{found.name} is at work.")
    return see(url_for("team.page"))


@blueprint.post("/team/<int:stringer_id>/pin")
def pin(stringer_id: int):
    form = PinForm()
    done = "The PIN is kept." if form.pin.data else "The PIN is taken away."
    if saved(form, done, accounts.set_pin, stringer_id, form.pin.data):
        return _seen(stringer_id)
    return _one(stringer_id, pin=form)


@blueprint.post("/team/<int:stringer_id>/rate")
def rate(stringer_id: int):
    form, done = RateForm(), "The rate is kept; the team's sheet counts by it."
    if saved(form, done, set_rate, stringer_id, form.amount.minor, per=form.per.data):
        return _seen(stringer_id)
    return _one(stringer_id, rate=form)
