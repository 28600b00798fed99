"""Settings: the event, its days, prices, and what benches need in minutes."""

from __future__ import annotations

from datetime import date, datetime

from flask import Blueprint, flash, url_for
from werkzeug.wrappers import Response
from wtforms import IntegerField, SelectField, StringField
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
from desk.trade.event.money import per_cent_of
from desk.web import context
from desk.web.event.setting_fields import EventForm, PerCentField
from desk.web.forms import DeskForm, MoneyField, options, saved, saving, see, show

blueprint = Blueprint("settings", __name__)
PRICED = {
    ("labour", "job"): "stringing, for a racquet",
    ("on_court", "job"): "on court, on top, for a racquet",
    ("string", "set"): "string, for a set",
    ("string", "metre"): "string, for a metre",
    ("extra_work", "job"): "extra work, for a racquet",
    ("stencil", "job"): "stencil, for a racquet",
}
"""What a price is for, by its kind and what it is counted by."""


class DayForm(DeskForm):
    opens = StringField("Opens", [InputRequired("give a time such as 08:00")])
    closes = StringField("Closes", [InputRequired("give a time such as 21:00")])


class PriceFields(DeskForm):
    what = SelectField("Price of", choices=options((" ".join(key), word) for key, word in PRICED.items()))
    string_id = SelectField("Which string", coerce=int)
    amount = MoneyField("Amount", [InputRequired("give the amount"), Length(max=20)])
    tax = PerCentField("Tax within it, per cent", [Optional()])

    def price(self) -> prices.PriceForm:
        tax = None if self.tax.data is None else int(self.tax.data)
        kind, _, per = (self.what.data or "").partition(" ")
        return prices.PriceForm(
            kind=kind,
            per=per,
            string_id=self.string_id.data or None,
            amount_minor=self.amount.minor or 0,
            tax_basis_points=tax,
        )


class MinutesForm(DeskForm):
    key = StringField(validators=[InputRequired()])
    minutes = IntegerField("Minutes", [Optional()])


class PaceForm(DeskForm):
    pace = IntegerField("Per cent", [Optional()])


@blueprint.route("/settings", methods=["GET", "POST"])
def page():
    form, done = (
        EventForm(obj=context.current_event()),
        "Kept. Where the plan depends on them, a new one is being made.",
    )
    if saved(form, done, change_settings, {name: form[name].data for name in SETTINGS}):
        return see(url_for("settings.page"))
    return show("event/settings/page.html", form=form, groups=SETTING_GROUPS)


def _days(form: DayForm | None = None, wrong: int | None = None):
    return show("event/settings/days.html", days=context.current_event().days, form=form, wrong=wrong)


@blueprint.get("/settings/days")
def days():
    return _days()


@blueprint.post("/settings/days/<int:day_id>")
def day(day_id: int):
    form, found = DayForm(), find_of(context.reading(), context.current_event(), EventDay, day_id, "day")
    if form.validate_on_submit():
        with saving(form, "The hours of the desk are kept.") as session:
            times = (_time_of(field, found.date) for field in (form.opens, form.closes))
            set_day_hours(session, context.event_id(), day_id, *times, acting=context.acting())
            return see(url_for("settings.days"))
    return _days(form, day_id)


def _time_of(field: StringField, day: date) -> datetime:
    try:
        return context.clock().parse(field.data, day)
    except TradeError as error:
        raise BadInput(str(error), fields={field.name: "write it like 21:00; past midnight: 24:30"}) from error


def _prices(form: PriceFields):
    session, event = context.reading(), context.current_event()
    form.string_id.choices = _string_choices()
    rows = price_rows(session, event)
    return show(
        "event/settings/prices.html",
        rows=rows,
        form=form,
        priced=PRICED,
        tax_per_cent=per_cent_of(event.tax_basis_points),
    )


def _string_choices():
    return options([(0, "any"), *string_choices(context.reading(), context.current_event())])


@blueprint.get("/settings/prices")
def price_list():
    return _prices(PriceFields(formdata=None))


@blueprint.post("/settings/prices")
def set_price():
    form, done = PriceFields(), "The price holds from now on; what was charged before stays."
    form.string_id.choices = _string_choices()
    if saved(form, done, prices.set_price, form.price()):
        return see(url_for("settings.price_list"))
    return _prices(form)


@blueprint.post("/settings/prices/<int:price_id>/remove")
def remove_price(price_id: int) -> Response:
    context.do(prices.remove_price, price_id)
    flash("The price is taken off the list.")
    return see(url_for("settings.price_list"))


def _times(form: DeskForm | None = None):
    session, event = context.reading(), context.current_event()
    house, paces = house_lines(session, event), pace_lines(session, event)
    return show("event/settings/times.html", house=house, paces=paces, form=form)


@blueprint.get("/settings/times")
def times():
    return _times()


@blueprint.post("/settings/times/house")
def minutes():
    form, done = MinutesForm(), "Kept. The plan uses these minutes for racquets that wait."
    if saved(form, done, bench_times.overrule_minutes, form.key.data, form.minutes.data):
        return see(url_for("settings.times"))
    return _times(form)


@blueprint.post("/settings/times/pace/<int:stringer_id>")
def pace(stringer_id: int):
    form = PaceForm()
    if saved(form, "Kept. A new plan is being made.", bench_times.overrule_pace, stringer_id, form.pace.data):
        return see(url_for("settings.times"))
    return _times(form)
