"""One match of the order of play: added, changed, put elsewhere, taken out."""

from __future__ import annotations

from flask import Blueprint, flash, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import FormField, IntegerField, SelectField, StringField
from wtforms.form import Form
from wtforms.validators import InputRequired, Length, NumberRange, Optional

from desk.errors import BadInput
from desk.models import Match, Player
from desk.queries.finding import find_of
from desk.queries.play.choices import court_choices, last_format, match_choices
from desk.queries.play.play import FORMAT_WORDS
from desk.queries.play.said_racquets import beyond_one_each, racquets_of_match
from desk.queries.players.names import player_names, players_named, written_apart
from desk.services.play import order_of_play as services
from desk.web import context
from desk.web.display import day_name
from desk.web.forms import DeskForm, options, saving, see, show
from desk.web.fragments import answer
from desk.web.plan.trials import trial_of_plan
from desk.web.play.play import chosen_day, days, what_moved

blueprint = Blueprint("matches", __name__)
STARTS = (("followed_by", "followed by"), ("not_before", "not before"), ("at", "at"))


class SidePart(Form):
    player = StringField("Player", [Length(max=200)])
    partner = StringField("Partner in doubles", [Length(max=200)])
    winner_of = SelectField("or the winner of", coerce=int, validators=[Optional()])

    @property
    def names(self) -> list[str]:
        return [text.strip() for text in (self.player.data, self.partner.data) if text and text.strip()]


CHOSEN = InputRequired("choose how it is played; how long it takes follows from that")


class MatchFields(DeskForm):
    one = FormField(SidePart, "First side")
    two = FormField(SidePart, "Second side")
    day_id = SelectField("Day", coerce=int)
    court_id = SelectField("Court", coerce=int)
    position = IntegerField("Place on that court", [Optional(), NumberRange(1, 40, "1 to 40")])
    start_kind = SelectField("Starts", choices=options(STARTS))
    start_time = StringField("Time", [Length(max=5)])
    format = SelectField("Format", choices=options([("", "choose …"), *FORMAT_WORDS.items()]), validators=[CHOSEN])
    code = StringField("Code", [Length(max=20)])


def _form(match: Match | None) -> MatchFields:
    event, session = context.current_event(), context.reading()
    form = MatchFields(data=_as_typed(match) if match else _as_asked())
    waits = [(0, "–"), *match_choices(session, event.id, but=match)]
    form.day_id.choices = options((day.id, day_name(day.date)) for day in days())
    form.court_id.choices = options(court_choices(session, event.id))
    for part in (form.one, form.two):
        part.form.winner_of.choices = options(waits)
    return form


def _as_asked() -> dict[str, object]:
    day = chosen_day(request.args.get("day", type=int))
    court_id = request.args.get("court", type=int)
    format = last_format(context.reading(), context.event_id())
    return {"day_id": day.id if day else None, "court_id": court_id, "format": format}


def _as_typed(match: Match) -> dict[str, object]:
    start = "" if match.start_at is None else f"{context.clock().local(match.start_at):%H:%M}"
    plain = {name: getattr(match, name) for name in ("day_id", "court_id", "position", "start_kind", "format", "code")}
    return plain | {"start_time": start, "one": _side_data(match, 1), "two": _side_data(match, 2)}


def _side_data(match: Match, number: int) -> dict[str, object]:
    rows = [side for side in match.sides if side.side == number]
    ids = [side.player_id for side in rows if side.player_id]
    names = [context.reading().get_one(Player, player_id).called for player_id in ids]
    waits = [side.winner_of_id for side in rows if side.winner_of_id and not side.player_id]
    player, partner = [*names, "", ""][:2]
    return {"player": player, "partner": partner, "winner_of": waits[0] if waits else 0}


def _written(session, form: MatchFields) -> services.MatchForm:
    """Turn what was typed into what the service takes; unknown names are told at the field."""
    day = next(day for day in days() if day.id == form.day_id.data)
    start = None
    if form.start_kind.data != "followed_by" and form.start_time.data:
        start = context.clock().parse(form.start_time.data, day.date)
    sides = tuple(_side(session, part) for part in (form.one.form, form.two.form))
    if start is None and form.start_kind.data != "followed_by":
        form.start_time.errors = ["give a time such as 11:00"]
    return form.asked(services.MatchForm, start_at=start, sides=sides)


def _side(session, part: SidePart) -> services.SideForm:
    ids = [_player_id(session, field) for field in (part.player, part.partner) if field.data and field.data.strip()]
    return services.SideForm(player_ids=ids, winner_of_id=None if ids else part.winner_of.data or None)


def _player_id(session, field: StringField) -> int:
    found = players_named(session, context.event_id(), field.data)
    if len(found) == 1:
        return found[0]
    why = "no such player; add the name under Players first"
    if found:
        why = f"{len(found)} players have this name: write {written_apart(session, found)}"
    field.errors = [*field.errors, why]
    raise BadInput(f"“{field.data.strip()}”: {why}.")


def _show(form: MatchFields, match: Match | None):
    session, event = context.reading(), context.current_event()
    racquets = [] if match is None else racquets_of_match(session, event, match.id)
    rest = [] if match is None else beyond_one_each(session, event, match.id)
    names = player_names(session, event.id)
    return show("play/match.html", form=form, match=match, names=names, racquets=racquets, rest=rest)


@blueprint.route("/play/match/new", methods=["GET", "POST"])
def new():
    form = _form(None)
    if form.validate_on_submit():
        with saving(form) as session:
            _, moved = services.add_match(session, context.event_id(), _written(session, form), acting=context.acting())
            flash(f"The match is added. {what_moved(moved)}")
            return see(url_for("play.page", day=form.day_id.data))
    return _show(form, None)


@blueprint.route("/play/match/<int:match_id>", methods=["GET", "POST"])
def match(match_id: int):
    found = find_of(context.reading(), context.current_event(), Match, match_id, "match")
    form = _form(found)
    if form.validate_on_submit():
        with saving(form, "The match is changed. Needed-by times follow.") as session:
            services.edit_match(session, context.event_id(), match_id, _written(session, form), acting=context.acting())
            return see(url_for("play.page", day=form.day_id.data))
    return _show(form, found)


@blueprint.get("/play/match/<int:match_id>/tried")
def tried(match_id: int) -> Response:
    """Give what was tried so far for the match's racquets that are late."""
    session, event = context.reading(), context.current_event()
    match = find_of(session, event, Match, match_id, "match")
    mine = {one.job_id for one in racquets_of_match(session, event, match.id)}
    trial, way_back = trial_of_plan(), url_for("matches.match", match_id=match.id)
    shown = {"wrong": [one for one in trial.found if one.job_id in mine], "trying": not trial.done, "next": way_back}
    return answer(lambda: render_template("plan/_wrong.html", **shown), *trial.step, moves=False)


@blueprint.post("/play/match/<int:match_id>/remove")
def remove(match_id: int) -> Response:
    context.do(services.remove_match, match_id)
    flash("The match is out of the order of play.")
    return see(url_for("play.page"))
