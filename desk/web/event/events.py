"""The page of events, a new one, and the way to the first screen of whoever signed in."""

from __future__ import annotations

from flask import Blueprint, current_app, session, url_for
from werkzeug.wrappers import Response
from wtforms import DateField, IntegerField, SelectField, StringField
from wtforms.validators import InputRequired, Length

from desk.errors import NotFound
from desk.models import Account
from desk.queries.event.events import EventLine, list_events
from desk.services.acting import Acting
from desk.services.event.new_event import NewEvent, create_event
from desk.trade.event.event_settings import KINDS, TOURNAMENT
from desk.trade.event.event_time import utc_now, zone_names
from desk.web import access, context
from desk.web.forms import DeskForm, options, saving, see, show

blueprint = Blueprint("events", __name__)
FIRST_SCREENS = {
    "lead": ("home.page", "plan.page", "events.choose"),
    "desk": ("drop_off.page", "pickup.page", "events.choose"),
    "stringer": ("bench.mine", "events.choose"),
    "organiser": ("organiser.page", "sheets.page", "events.choose"),
}


class EventForm(DeskForm):
    name = StringField("Event", [InputRequired("give the event a name"), Length(max=120)])
    kind = SelectField("Kind of event", choices=options(KINDS.items()), default=TOURNAMENT)
    town = StringField("Town", [Length(max=80)])
    desk_place = StringField("Where the desk is", [Length(max=120)])
    time_zone = StringField("Time zone", [InputRequired("such as Europe/Vienna")])
    currency = StringField("Currency", [InputRequired("such as EUR")])
    first_day = DateField("First day", [InputRequired("a date")])
    days = IntegerField("Number of days", [InputRequired("a number")], default=1)
    opens = StringField("Desk opens", [InputRequired("such as 08:00")], default="08:00")
    closes = StringField("Desk closes", [InputRequired("such as 21:00")], default="21:00")


@blueprint.get("/")
def enter() -> Response:
    if context.g.head is None:
        return see(url_for("events.choose"))
    wanted = FIRST_SCREENS[context.actor().role]
    return see(url_for(next(name for name in wanted if name in current_app.view_functions)))


@blueprint.route("/events", methods=["GET"])
def choose():
    events = my_events()
    if not events and access.may("events.new", context.actor().role):
        return see(url_for("events.new"))
    return show("event/events/choose.html", events=events)


def my_events() -> list[EventLine]:
    """Return what whoever is signed in may work at: one event for an account bound to it, or a stringer by PIN."""
    account_id = context.actor().account_id
    bound_to = context.reading().get_one(Account, account_id).event_id if account_id else context.event_id()
    return list_events(context.reading(), only_id=bound_to)


@blueprint.post("/events/<slug>")
def take(slug: str) -> Response:
    allowed = {line.slug: line.id for line in my_events()}
    if slug not in allowed:
        raise NotFound("There is no such event among yours; choose one from the page of events.")
    session["event_id"] = allowed[slug]
    return see(url_for("events.enter"))


@blueprint.route("/events/new", methods=["GET", "POST"])
def new():
    form = EventForm()
    who = Acting(by=context.actor().name, at=utc_now())
    if form.validate_on_submit():
        with saving(form) as writing:
            session["event_id"] = create_event(writing, form.asked(NewEvent), acting=who).id
            return see(url_for("events.enter"))
    first = not list_events(context.reading())
    return show("event/events/new.html", form=form, zones=zone_names(), first=first)
