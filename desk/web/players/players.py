"""Players: search, racquets and history, advice with its reason, the link, and erasing after the event."""

from __future__ import annotations

from flask import Blueprint, Response, flash, render_template, request, url_for
from werkzeug.wrappers import Response as Sent
from wtforms import BooleanField, IntegerField, RadioField, SelectField, StringField
from wtforms.validators import InputRequired, Length, Optional

from desk.models import OPEN_STATES, Frame, Player
from desk.queries.counter.counter import court_in_play, frame_choices
from desk.queries.finding import find_of
from desk.queries.money.charges import open_minor
from desk.queries.plan.spoken_bench import SpokenBenches
from desk.queries.play.said_racquets import bags_of_player
from desk.queries.players.contacts import contacts_of
from desk.queries.players.history_table import history_table
from desk.queries.players.names import frames_by_name
from desk.queries.players.players import find_players, history_rows, racquet_rows
from desk.queries.players.strung_before import strung_before
from desk.queries.players.suggestions import proposal_for, restring_rows
from desk.queries.word.word_ways import ways_of
from desk.services.players import erasing, frames, players
from desk.trade.racquet.value_kinds import HOURS_A_WEEK
from desk.web import context
from desk.web.counter.with_whom import whom_of
from desk.web.forms import DeskForm, FigureField, MeasureField, options, saved, saving, see, show, within
from desk.web.players.own_bench import own_bench_form
from desk.web.table_files import csv_file

blueprint = Blueprint("players", __name__)
SHOWN = 50
YES_NO = (("", "not asked"), ("yes", "yes"), ("no", "no"))


class PlayerFields(DeskForm):
    name = StringField("Name", [InputRequired("give the player’s name"), Length(max=200)])
    hours_per_week = MeasureField("Hours of play a week", [Optional(), within(HOURS_A_WEEK)])
    phone = StringField("Telephone", [Length(max=40)])
    note = StringField("Note for the desk", [Length(max=200)])
    is_namesake = BooleanField("Another player of the same name")


class FrameFields(DeskForm):
    name = StringField("Frame", [InputRequired("name the frame"), Length(max=120)])
    mains = IntegerField("Mains", [InputRequired("count the mains")])
    crosses = IntegerField("Crosses", [InputRequired("count the crosses")])
    head_sq_in = MeasureField("Head, square inches", [Optional()])
    tension_low = FigureField("Printed range from", [Optional()])
    tension_high = FigureField("to", [Optional()])
    tension_unit = SelectField("in", choices=options([("", "choose …"), ("lb", "pounds"), ("kg", "kilos")]))

    def frame(self) -> frames.FrameForm:
        return self.asked(frames.FrameForm, tension_unit=self.tension_unit.data or None)


class RacquetFields(DeskForm):
    frame_id = SelectField("Frame", coerce=int)
    note = StringField("Note", [Length(max=200)])


class AdviceForm(DeskForm):
    frame_id = SelectField("Frame", coerce=int)
    full_swing = RadioField("Swings fully?", choices=options(YES_NO), default="")
    breaks_soon = RadioField("Breaks strings within a few hours?", choices=options(YES_NO), default="")


def _page(form: PlayerFields):
    text = request.args.get("q", "").strip()
    found = find_players(context.reading(), context.current_event(), text, limit=SHOWN)
    return show("players/page.html", text=text, found=found, shown=SHOWN, form=form)


@blueprint.get("/players")
def page():
    return _page(PlayerFields(formdata=None))


@blueprint.post("/players")
def add():
    form = PlayerFields()
    if form.validate_on_submit():
        with saving(form) as session:
            asked, once = form.asked(players.PlayerForm), {"is_namesake": form.is_namesake.data}
            made = players.add_player(session, context.event_id(), asked, acting=context.acting(), **once)
            return _seen(made.id)
    return _page(form)


def _seen(player_id: int) -> Sent:
    return see(url_for("players.player", player_id=player_id))


def _who(player_id: int) -> Player:
    return find_of(context.reading(), context.current_event(), Player, player_id, "player")


def _one(player_id: int, **sent: DeskForm):
    who, session, event = _who(player_id), context.reading(), context.current_event()
    forms = {
        "change": PlayerFields(formdata=None, obj=who),
        "racquet": RacquetFields(formdata=None),
        "erase": DeskForm(formdata=None),
    } | sent
    forms["racquet"].frame_id.choices = options(frame_choices(session, event))
    benches, history = SpokenBenches(session, event, context.event_time(), [who.id]), history_rows(session, event, who)
    return show(
        "players/player.html",
        player=who,
        racquets=racquet_rows(session, who),
        in_play=court_in_play(session, context.current_event(), who.id),
        history=history,
        whom=whom_of(*(row.card for row in history if row.card.state in OPEN_STATES)),
        bags=bags_of_player(session, event, who.id),
        restring=restring_rows(session, event, who, context.event_time()),
        owed=open_minor(session, event, who.id),
        contacts=contacts_of(session, who.id),
        ways=ways_of(session, player_id=who.id),
        own=benches.own_of(who.id),
        own_note=benches.own_note(who.id),
        own_form=own_bench_form(who),
        **forms,
    )


@blueprint.get("/players/<int:player_id>")
def player(player_id: int):
    return _one(player_id)


@blueprint.post("/players/<int:player_id>")
def change(player_id: int):
    form = PlayerFields()
    if saved(form, "Kept.", players.edit_player, player_id, form.asked(players.PlayerForm)):
        return _seen(player_id)
    return _one(player_id, change=form)


@blueprint.post("/players/<int:player_id>/racquet")
def add_racquet(player_id: int):
    form = RacquetFields()
    form.frame_id.choices = options(frame_choices(context.reading(), context.current_event()))
    racquet = {"frame_id": form.frame_id.data, "note": form.note.data}
    if saved(form, "The racquet is added.", players.add_racquet, player_id, **racquet):
        return _seen(player_id)
    return _one(player_id, racquet=form)


@blueprint.get("/players/<int:player_id>/advice")
def advice(player_id: int):
    who, session, event = _who(player_id), context.reading(), context.current_event()
    form = AdviceForm(request.args, meta={"csrf": False})
    form.frame_id.choices = options([(0, "not known"), *frame_choices(session, event)])
    racquets = racquet_rows(session, who)
    frame_id = request.args.get("frame_id", type=int) or next((row.frame_id for row in racquets), 0)
    form.frame_id.data = frame_id
    frame = find_of(session, event, Frame, frame_id, "frame") if frame_id else None
    answers = {"yes": True, "no": False}
    swing, breaks = answers.get(form.full_swing.data), answers.get(form.breaks_soon.data)
    offer = proposal_for(session, event, who, frame, full_swing=swing, breaks_soon=breaks)
    if context.wants_fragment():
        return render_template("players/_proposal.html", offer=offer)
    at_drop_off = request.args.get("at") == "drop-off"
    return show("players/advice.html", player=who, form=form, offer=offer, at_drop_off=at_drop_off)


@blueprint.get("/players/<int:player_id>/before/<int:number>")
def before(player_id: int, number: int):
    """Show how one racquet was strung before, and when to restring: beside the card, where the owner asks."""
    session, event = context.reading(), context.current_event()
    past = strung_before(session, event, _who(player_id), number, context.event_time())
    if context.wants_fragment():
        return render_template("players/_before.html", past=past)
    at_drop_off = request.args.get("at") == "drop-off"
    return show("players/before.html", past=past, at_drop_off=at_drop_off, tag=request.args.get("tag", ""))


@blueprint.get("/players/<int:player_id>/history.csv")
def history_file(player_id: int) -> Response:
    who = _who(player_id)
    return csv_file(f"racquets-{who.code}", history_table(context.reading(), context.current_event(), who))


@blueprint.post("/players/<int:player_id>/link")
def new_link(player_id: int) -> Sent:
    context.do(players.new_token, player_id)
    flash("A new link is made; the old one no longer works. Print it for the player.")
    return _seen(player_id)


@blueprint.post("/players/<int:player_id>/erase")
def erase(player_id: int):
    form, code = DeskForm(), _who(player_id).code
    if saved(form, f"The personal data of {code} are erased; the figures stay whole.", erasing.erase_player, player_id):
        flash("Sheets, files and backups made before still hold the name: make them anew, or delete them.")
        return see(url_for("players.page"))
    return _one(player_id, erase=form)


@blueprint.get("/players/frames")
def frame_list():
    return _frames(FrameFields(formdata=None))


def _frames(form: FrameFields):
    frames_of = frames_by_name(context.reading(), context.event_id())
    return show("players/frames.html", frames=frames_of, form=form)


@blueprint.post("/players/frames")
def add_frame():
    form = FrameFields()
    if saved(form, "The frame is on the list.", frames.add_frame, form.frame()):
        return see(url_for("players.frame_list"))
    return _frames(form)


@blueprint.route("/players/frames/<int:frame_id>", methods=["GET", "POST"])
def frame(frame_id: int):
    found = find_of(context.reading(), context.current_event(), Frame, frame_id, "frame")
    form = FrameFields(obj=found)
    if saved(form, "The frame is changed.", frames.edit_frame, frame_id, form.frame()):
        return see(url_for("players.frame_list"))
    return show("players/frame.html", frame=found, form=form)
