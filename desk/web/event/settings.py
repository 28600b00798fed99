"""Settings: the event, its days, prices, and what benches need in minutes."""

from __future__ import annotations

from datetime import date, datetime

from flask import Blueprint, url_for
from wtforms import IntegerField, StringField
from wtforms.validators import InputRequired, Optional

from desk.errors import BadInput
from desk.models import EventDay
from desk.queries.bench.bench_times import house_lines, pace_lines
from desk.queries.finding import find_of
from desk.services.bench import bench_times
from desk.services.event.settings import change_settings, set_day_hours
from desk.trade.errors import TradeError
from desk.trade.event.event_settings import SETTING_GROUPS, SETTINGS
from desk.web import context
from desk.web.event.setting_fields import EventForm
from desk.web.forms import DeskForm, saved, saving, see, show

blueprint = Blueprint("settings", __name__)


class DayForm(DeskForm):
    opens = StringField("Opens", [InputRequired("give a time such as 08:00")])
    closes = StringField("Closes", [InputRequired("give a time such as 21:00")])


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
