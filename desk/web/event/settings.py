"""Settings: the event, its days, prices, and what benches need in minutes."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, flash, url_for
from werkzeug.wrappers import Response
from wtforms import (
    IntegerField,
    SelectField,
    StringField,
)
from wtforms.validators import InputRequired, Length, Optional

from desk.errors import BadInput
from desk.models import EventDay
from desk.queries.bench.bench_times import house_lines, pace_lines
from desk.queries.counter.counter import string_choices
from desk.queries.finding import find_of
from desk.queries.money.charges import price_rows
from desk.services.bench import bench_times
from desk.services.event.settings import change_settings, set_day_hours
from desk.services.money import prices
from desk.trade.errors import TradeError
from desk.trade.event.event_settings import SETTING_GROUPS, SETTINGS
from desk.trade.event.money import parse_money, per_cent_of
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


class DayForm(DeskForm):
    opens = StringField("Opens", [InputRequired("give a time such as 08:00")])
    closes = StringField("Closes", [InputRequired("give a time such as 21:00")])


class PriceFields(DeskForm):
    kind = SelectField("Price of", choices=options(PRICE_KINDS))
    per = SelectField("Counted", choices=options(PER))
    string_id = SelectField("Which string", coerce=int)
    amount = StringField("Amount", [InputRequired("give the amount"), Length(max=20)])
    tax = PerCentField("Tax within it, per cent", [Optional()])


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
        with saving(form, "Kept. Where the plan depends on them, a new one is being made.") as session:
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


def _prices(form: PriceFields):
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
    return options([(0, "any"), *string_choices(context.reading(), context.current_event())])


@blueprint.get("/settings/prices")
def price_list():
    return _prices(PriceFields(formdata=None))


@blueprint.post("/settings/prices")
def set_price():
    form = PriceFields()
    form.string_id.choices = _string_choices()
    if form.validate_on_submit():
        with saving(form, "The price holds from now on; what was charged before stays.") as session:
            prices.set_price(session, context.event_id(), _price(form), acting=context.acting())
            return see(url_for("settings.price_list"))
    return _prices(form)


def _price(form: PriceFields) -> prices.PriceForm:
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
        with saving(form, "Kept. The plan uses these minutes for racquets that wait.") as session:
            bench_times.overrule_minutes(
                session, context.event_id(), form.key.data, form.minutes.data, acting=context.acting()
            )
            return see(url_for("settings.times"))
    return _times(form=form)


@blueprint.post("/settings/times/pace/<int:stringer_id>")
def pace(stringer_id: int):
    form = PaceForm()
    if form.validate_on_submit():
        with saving(form, "Kept. A new plan is being made.") as session:
            bench_times.overrule_pace(session, context.event_id(), stringer_id, form.pace.data, acting=context.acting())
            return see(url_for("settings.times"))
    return _times(form=form)
