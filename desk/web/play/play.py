"""Order of play: the day by court, one touch for what happens, and rain on all courts."""

from __future__ import annotations

from datetime import timedelta
from functools import partial

from flask import Blueprint, flash, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import IntegerField, StringField
from wtforms.validators import InputRequired, Length, Optional

from desk.errors import BadInput, DeskError, NotFound
from desk.models import EventDay
from desk.queries.play.moved_racquets import moved_racquets
from desk.queries.play.play import order_of_play
from desk.services.play import play, play_stops
from desk.services.play.needed_by import NeededByChange
from desk.services.play.order_of_play import add_court, move_match
from desk.trade.errors import TradeError
from desk.trade.play.play import PlaySettings
from desk.web import context
from desk.web.forms import DeskForm, saved, saving, see, show
from desk.web.fragments import fragment

blueprint = Blueprint("play", __name__)
MOVED_FOR = timedelta(hours=2)
DAY_BEGINS_BEFORE_OPENING = timedelta(hours=2)
STOPPED = (
    "Play is stopped on all courts. Enter below when it resumes; "
    f"until then it counts as resuming in {PlaySettings.restart_notice_min} minutes at the soonest."
)


class CourtForm(DeskForm):
    name = StringField("Name of the court", [InputRequired("give the court a name"), Length(max=60)])


class StopForm(DeskForm):
    reason = StringField("Why", [Length(max=80)], default="rain")


class ResumeForm(DeskForm):
    at = StringField("Play resumes at", [Length(max=5)])


class TouchForm(DeskForm):
    """What the buttons of a match carry besides their name."""

    side = IntegerField(validators=[Optional()])
    sets = IntegerField(validators=[Optional()])
    court_id = IntegerField(validators=[Optional()])


TOUCHES = {
    "start": lambda form: play.start_match,
    "finish": lambda form: partial(play.finish_match, winner_side=form.side.data),
    "retire": lambda form: partial(play.retire, winner_side=form.side.data),
    "walkover": lambda form: partial(play.walkover, winner_side=form.side.data),
    "suspend": lambda form: play.suspend,
    "resume": lambda form: play.resume,
    "undo": lambda form: play.undo_last_change,
    "winner": lambda form: partial(play.enter_winner, winner_side=form.side.data or 0),
    "sets": lambda form: partial(play.set_sets_done, sets_done=form.sets.data or 0),
    "move": lambda form: partial(move_match, court_id=form.court_id.data or 0),
}


def days() -> list[EventDay]:
    return sorted(context.current_event().days, key=lambda day: day.date)


def chosen_day(asked: int | None) -> EventDay | None:
    """Return the day asked for, else the one being played, which lasts until the desk opens on the next."""
    every = days()
    found = [day for day in every if day.id == asked]
    begun = [day for day in every if day.opens_at - DAY_BEGINS_BEFORE_OPENING <= context.event_time()]
    return next(iter([*found, *reversed(begun), *every]), None)


def _order() -> dict[str, object]:
    day, session, event = chosen_day(request.args.get("day", type=int)), context.reading(), context.current_event()
    order = order_of_play(session, event, context.event_time(), day_id=day.id if day else None)
    shown = order.days[0] if day and order.days else None
    moved = moved_racquets(session, event, context.event_time() - MOVED_FOR, limit=12)
    return {"order": order, "shown": shown, "moved": moved}


def _page(trouble: str = "", **forms: DeskForm):
    blank = {"court": CourtForm(formdata=None), "stop": StopForm(formdata=None), "go_on": ResumeForm(formdata=None)}
    return show("play/page.html", days=days(), trouble=trouble, **_order(), **(blank | forms))


@blueprint.get("/play")
def page():
    return _page()


@blueprint.get("/play/lines")
@fragment()
def lines() -> str:
    return render_template("play/_lines.html", **_order())


@blueprint.post("/play/match/<int:match_id>/touch/<do>")
def touch(match_id: int, do: str):
    if do not in TOUCHES:
        raise NotFound("There is no such button; go back to the order of play.")
    form = TouchForm()
    form.validate()
    try:
        moved = context.do(TOUCHES[do](form), match_id)
    except (DeskError, TradeError) as error:
        return _page(trouble=str(error))[0], getattr(error, "status", 422)
    flash(f"Noted. {what_moved(moved)}")
    return see(url_for("play.page", day=request.args.get("day"), _anchor=f"match-{match_id}"))


def what_moved(changes: list[NeededByChange]) -> str:
    """Say how many racquets are needed sooner or later because of a change of play."""
    told = [change for change in changes if change.worth_telling]
    urgent = sum(change.is_urgent for change in told)
    if not told:
        return "That moves no racquet."
    counts = ((urgent, "sooner"), (len(told) - urgent, "later"))
    words = [f"{n} {'racquet is' if n == 1 else 'racquets are'} needed {when}" for n, when in counts if n]
    return f"{', '.join(words)}; they stand below."


@blueprint.post("/play/stop")
def stop():
    form = StopForm()
    if saved(form, STOPPED, play_stops.stop_play, reason=form.reason.data or "rain"):
        return see(url_for("play.page"))
    return _page(stop=form)


@blueprint.post("/play/take-back")
def take_back() -> Response:
    flash(f"Taken back. {what_moved(context.do(play_stops.take_back_stop))}")
    return see(url_for("play.page"))


@blueprint.post("/play/resume")
def go_on():
    form = ResumeForm()
    if form.validate_on_submit():
        with saving(form, "Noted. Needed-by times follow, and a new plan is being made.") as session:
            play_stops.resume_play(session, context.event_id(), resumes_at=_resumes_at(form), acting=context.acting())
            return see(url_for("play.page"))
    return _page(go_on=form)


def _resumes_at(form: ResumeForm):
    """Read the time, which is one of today; None where play goes on now."""
    if request.form.get("now"):
        return None
    if not form.at.data:
        raise BadInput("Give the time at which play resumes.", fields={"at": "give a time such as 15:30"})
    day = chosen_day(None)
    at = context.clock().parse(form.at.data, day.date)  # type: ignore[union-attr]
    if at < context.event_time():
        raise BadInput("Play cannot resume in the past.", fields={"at": "this time is past; for now, touch the button"})
    return at


@blueprint.post("/play/courts")
def new_court() -> Response:
    form = CourtForm()
    if saved(form, f"{form.name.data.strip()} is added. Now its matches.", add_court, form.name.data):
        return see(url_for("play.page", day=request.args.get("day")))
    return _page(court=form)
