"""Settings: the event, its days, prices, what benches need in minutes, who signs in, and trusted devices."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, flash, url_for
from sqlalchemy import or_, select
from werkzeug.wrappers import Response
from wtforms import (
    IntegerField,
    PasswordField,
    SelectField,
    StringField,
)
from wtforms.validators import InputRequired, Length, Optional

from desk.errors import BadInput, NotFound
from desk.models import Account, EventDay, StringType, TrustedDevice
from desk.queries.bench.bench_times import house_lines, pace_lines
from desk.queries.money.charges import price_rows
from desk.queries.string.store import string_label
from desk.services.bench import bench_times
from desk.services.event.settings import change_settings, set_day_hours
from desk.services.money import prices
from desk.services.of_event import find_of
from desk.services.team import accounts
from desk.trade.errors import TradeError
from desk.trade.event_settings import SETTING_GROUPS, SETTINGS
from desk.trade.money import parse_money, per_cent_of
from desk.web import context
from desk.web.event.setting_fields import EventForm, PerCentField
from desk.web.forms import DeskForm, options, saving, see, show

blueprint = Blueprint("settings", __name__)
PRICE_KINDS = (
    ("labour", "stringing"),
    ("on_court", "on court, on top"),
    ("string", "string"),
    ("extra_work", "extra work"),
    ("stencil", "stencil"),
)
PER = (("job", "for a racquet"), ("set", "for a set"), ("metre", "for a metre"))
ROLES = (("lead", "desk lead"), ("desk", "front desk"), ("stringer", "stringer"), ("organiser", "organiser"))


class DayForm(DeskForm):
    opens = StringField("Opens", [InputRequired("give a time such as 08:00")])
    closes = StringField("Closes", [InputRequired("give a time such as 21:00")])


class PriceForm(DeskForm):
    kind = SelectField("Price of", choices=options(PRICE_KINDS))
    per = SelectField("Counted", choices=options(PER))
    string_id = SelectField("Which string", coerce=int)
    amount = StringField("Amount", [InputRequired("give the amount"), Length(max=20)])
    tax = PerCentField("Tax within it, per cent", [Optional()])


class AccountForm(DeskForm):
    name = StringField("Name to sign in with", [InputRequired("give a name"), Length(max=80)])
    role = SelectField("Role", choices=options(ROLES), default="desk")
    password = PasswordField("Password", [InputRequired("give a password")])


class PasswordForm(DeskForm):
    password = PasswordField("New password", [InputRequired("give the new password")])


class MinutesForm(DeskForm):
    key = StringField(validators=[InputRequired()])
    minutes = IntegerField("Minutes", [Optional()])


class PaceForm(DeskForm):
    pace = IntegerField("Per cent", [Optional()])


@blueprint.route("/settings", methods=["GET", "POST"])
def page():
    event = context.current_event()
    form = EventForm(obj=event)
    if form.validate_on_submit():
        with saving(form, "Kept. Where the plan follows these, it is being made anew.") as session:
            change_settings(session, event.id, {name: form[name].data for name in SETTINGS}, acting=context.acting())
            return see(url_for("settings.page"))
    return show("event/settings/page.html", form=form, groups=SETTING_GROUPS)


def _days(**sent: Any):
    return show("event/settings/days.html", days=context.current_event().days, **({"form": None, "wrong": None} | sent))


@blueprint.get("/settings/days")
def days():
    return _days()


@blueprint.post("/settings/days/<int:day_id>")
def day(day_id: int):
    form, found = DayForm(), find_of(context.reading(), context.current_event(), EventDay, day_id, "day")
    if form.validate_on_submit():
        with saving(form, "The hours of the desk are kept.") as session:
            _set_day(session, found, form)
            return see(url_for("settings.days"))
    return _days(form=form, wrong=day_id)


def _set_day(session, day: EventDay, form: DayForm) -> None:
    clock = context.clock()
    times = []
    for field in (form.opens, form.closes):
        try:
            times.append(clock.parse(field.data, day.date))
        except TradeError as error:
            raise BadInput(
                str(error), fields={field.short_name: "write it like 21:00; past midnight: 24:30"}
            ) from error
    set_day_hours(session, context.event_id(), day.id, *times, acting=context.acting())


def _prices(form: PriceForm):
    session, event = context.reading(), context.current_event()
    form.string_id.choices = _string_choices()
    rows = price_rows(session, event)
    return show(
        "event/settings/prices.html",
        rows=rows,
        form=form,
        kinds=dict(PRICE_KINDS),
        per=dict(PER),
        tax_per_cent=per_cent_of(event.tax_basis_points),
    )


def _string_choices():
    found = select(StringType).where(StringType.event_id == context.event_id()).order_by(StringType.name)
    return options([(0, "any"), *((one.id, string_label(one)) for one in context.reading().scalars(found))])


@blueprint.get("/settings/prices")
def price_list():
    return _prices(PriceForm(formdata=None))


@blueprint.post("/settings/prices")
def set_price():
    form = PriceForm()
    form.string_id.choices = _string_choices()
    if form.validate_on_submit():
        with saving(form, "The price holds from now on; what was charged before stays.") as session:
            prices.set_price(session, context.event_id(), _price(form), acting=context.acting())
            return see(url_for("settings.price_list"))
    return _prices(form)


def _price(form: PriceForm) -> prices.PriceForm:
    try:
        minor = parse_money(form.amount.data, context.head().currency).minor
    except TradeError as error:
        raise BadInput(str(error), fields={"amount": "write the amount like 12.50"}) from error
    string_id = form.string_id.data or None
    return prices.PriceForm(
        kind=form.kind.data,
        amount_minor=minor,
        per=form.per.data,
        string_id=string_id,
        tax_basis_points=None if form.tax.data is None else int(form.tax.data),
    )


@blueprint.post("/settings/prices/<int:price_id>/remove")
def remove_price(price_id: int) -> Response:
    with context.writing() as session:
        prices.remove_price(session, context.event_id(), price_id, acting=context.acting())
    flash("The price is taken off the list.")
    return see(url_for("settings.price_list"))


def _people(form: AccountForm, **sent: Any):
    of_event = or_(Account.event_id.is_(None), Account.event_id == context.event_id())
    devices = select(TrustedDevice).where(
        TrustedDevice.event_id == context.event_id(), TrustedDevice.withdrawn_at.is_(None)
    )
    session = context.reading()
    people = session.scalars(select(Account).where(of_event).order_by(Account.name)).all()
    values = {"people": people, "devices": session.scalars(devices).all(), "roles": dict(ROLES)}
    return show("event/settings/people.html", form=form, **values, **({"renew": None, "wrong": None} | sent))


@blueprint.get("/settings/people")
def people():
    return _people(AccountForm(formdata=None))


@blueprint.post("/settings/people")
def add_account():
    form = AccountForm()
    if form.validate_on_submit():
        with saving(form, f"{form.name.data} may sign in.") as session:
            accounts.add_account(session, name=form.name.data, role=form.role.data, password=form.password.data)
            return see(url_for("settings.people"))
    return _people(form)


@blueprint.post("/settings/people/<int:account_id>/password")
def password(account_id: int):
    form = PasswordForm()
    if form.validate_on_submit():
        with saving(form, "The new password holds; whoever was signed in with the old one signs in again.") as session:
            accounts.change_password(session, _own(session, account_id), form.password.data)
            return see(url_for("settings.people"))
    return _people(AccountForm(formdata=None), renew=form, wrong=account_id)


def _own(session, account_id: int) -> int:
    """Return the id of an account that this event may change; another event's is refused."""
    found = session.get(Account, account_id)
    if found is None or found.event_id not in (None, context.event_id()):
        raise NotFound("There is no such account at this event; go back to the settings.")
    return found.id


@blueprint.post("/settings/people/<int:account_id>/<do>")
def active(account_id: int, do: str) -> Response:
    if do not in ("stop", "go"):
        raise NotFound("There is no such touch; go back to the settings.")
    with context.writing() as session:
        accounts.set_active(session, _own(session, account_id), active=do == "go")
    flash("May sign in again." if do == "go" else "May no longer sign in.")
    return see(url_for("settings.people"))


@blueprint.post("/settings/devices/<int:device_id>/withdraw")
def withdraw(device_id: int) -> Response:
    with context.writing() as session:
        find_of(session, context.current_event(), TrustedDevice, device_id, "device")
        accounts.withdraw_device(session, context.event_id(), device_id, acting=context.acting())
    flash("The device is trusted no longer; who was signed in on it is signed out.")
    return see(url_for("settings.people"))


def _times(**sent: Any):
    session, event = context.reading(), context.current_event()
    values = {"house": house_lines(session, event), "paces": pace_lines(session, event)}
    return show("event/settings/times.html", **values, **({"form": None} | sent))


@blueprint.get("/settings/times")
def times():
    return _times()


@blueprint.post("/settings/times/house")
def minutes():
    form = MinutesForm()
    if form.validate_on_submit():
        with saving(form, "Kept. Racquets that wait are reckoned with it.") as session:
            bench_times.overrule_minutes(
                session, context.event_id(), form.key.data, form.minutes.data, acting=context.acting()
            )
            return see(url_for("settings.times"))
    return _times(form=form)


@blueprint.post("/settings/times/pace/<int:stringer_id>")
def pace(stringer_id: int):
    form = PaceForm()
    if form.validate_on_submit():
        with saving(form, "Kept. The plan is being made anew.") as session:
            bench_times.overrule_pace(session, context.event_id(), stringer_id, form.pace.data, acting=context.acting())
            return see(url_for("settings.times"))
    return _times(form=form)
