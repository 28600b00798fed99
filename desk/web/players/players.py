"""Players: search, racquets and history, advice with its reason, the link, and erasing after the event."""

from __future__ import annotations

import csv
import re
from io import StringIO

from flask import Blueprint, Response, flash, render_template, request, url_for
from werkzeug.wrappers import Response as Sent
from wtforms import BooleanField, DecimalField, FloatField, IntegerField, RadioField, SelectField, StringField
from wtforms.validators import InputRequired, Length, Optional

from desk.models import OPEN_STATES, Frame, Player
from desk.queries.counter.counter import frame_choices
from desk.queries.finding import find_of
from desk.queries.money.charges import open_minor
from desk.queries.plan.spoken_bench import SpokenBenches
from desk.queries.play.said_racquets import bags_of_player
from desk.queries.players.contacts import contacts_of
from desk.queries.players.history_table import history_table
from desk.queries.players.names import frames_by_name
from desk.queries.players.players import find_players, history_rows, racquet_rows
from desk.queries.players.suggestions import proposal_for, restring_rows
from desk.queries.word.word_ways import ways_of
from desk.services.players import erasing, frames, players
from desk.trade.racquet.value_kinds import HOURS_A_WEEK
from desk.web import context
from desk.web.counter.with_whom import whom_of
from desk.web.forms import DeskForm, options, saving, see, show, within
from desk.web.players.own_bench import own_bench_form

blueprint = Blueprint("players", __name__)
SHOWN = 50
FORMULA = ("=", "+", "-", "@", "\t")
FIGURE = re.compile(r"-?\d+(\.\d+)?")
YES_NO = (("", "not asked"), ("yes", "yes"), ("no", "no"))


class PlayerFields(DeskForm):
    name = StringField("Name", [InputRequired("give the player’s name"), Length(max=200)])
    hours_per_week = FloatField("Hours of play a week", [Optional(), within(HOURS_A_WEEK)])
    phone = StringField("Telephone", [Length(max=40)])
    note = StringField("Note for the desk", [Length(max=200)])
    is_namesake = BooleanField("Another player of the same name")


class FrameFields(DeskForm):
    name = StringField("Frame", [InputRequired("name the frame"), Length(max=120)])
    mains = IntegerField("Mains", [InputRequired("count the mains")])
    crosses = IntegerField("Crosses", [InputRequired("count the crosses")])
    head_sq_in = FloatField("Head, square inches", [Optional()])
    tension_low = DecimalField("Printed range from", [Optional()])
    tension_high = DecimalField("to", [Optional()])
    tension_unit = SelectField("in", choices=options([("", "choose …"), ("lb", "pounds"), ("kg", "kilos")]))

    def asked(self) -> frames.FrameForm:
        named = {"name": self.name.data, "mains": self.mains.data, "crosses": self.crosses.data}
        head = {"head_sq_in": self.head_sq_in.data}
        printed = {"tension_low": self.tension_low.data, "tension_high": self.tension_high.data}
        return frames.FrameForm(**named, **head, **printed, tension_unit=self.tension_unit.data or None)


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
            made = players.add_player(
                session, context.event_id(), _asked(form), acting=context.acting(), is_namesake=form.is_namesake.data
            )
            return see(url_for("players.player", player_id=made.id))
    return _page(form)


def _asked(form: PlayerFields) -> players.PlayerForm:
    said = {"note": form.note.data or "", "phone": form.phone.data or ""}
    return players.PlayerForm(name=form.name.data, hours_per_week=form.hours_per_week.data, **said)


def csv_text(table: list[tuple[str, ...]]) -> str:
    """Return rows as CSV; a cell that a spreadsheet would take for a formula gets an apostrophe."""
    out = StringIO()
    csv.writer(out).writerows([_harmless(cell) for cell in row] for row in table)
    return out.getvalue()


def _harmless(cell: str) -> str:
    return f"'{cell}" if cell.startswith(FORMULA) and not FIGURE.fullmatch(cell) else cell


def _who(player_id: int) -> Player:
    return find_of(context.reading(), context.current_event(), Player, player_id, "player")


def _one(player_id: int, **sent: DeskForm):
    who, session, event = _who(player_id), context.reading(), context.current_event()
    data = {"name": who.name, "hours_per_week": who.hours_per_week, "note": who.note, "phone": who.phone}
    change, racquet = sent.get("change") or PlayerFields(formdata=None, data=data), sent.get("racquet")
    racquet = racquet or RacquetFields(formdata=None)
    racquet.frame_id.choices = options(frame_choices(session, event))
    benches, history = SpokenBenches(session, event, context.event_time(), [who.id]), history_rows(session, event, who)
    return show(
        "players/player.html",
        player=who,
        racquets=racquet_rows(session, who),
        history=history,
        whom=whom_of(*(row.card for row in history if row.card.state in OPEN_STATES)),
        bags=bags_of_player(session, event, who.id),
        restring=restring_rows(session, event, who, context.event_time()),
        owed=open_minor(session, event, who.id),
        change=change,
        racquet=racquet,
        contacts=contacts_of(session, who.id),
        ways=ways_of(session, player_id=who.id),
        own=benches.own_of(who.id),
        own_note=benches.own_note(who.id),
        own_form=own_bench_form(who),
        erase=sent.get("erase") or DeskForm(formdata=None),
    )


@blueprint.get("/players/<int:player_id>")
def player(player_id: int):
    return _one(player_id)


@blueprint.post("/players/<int:player_id>")
def change(player_id: int):
    form = PlayerFields()
    if form.validate_on_submit():
        with saving(form, "Kept.") as session:
            players.edit_player(session, context.event_id(), player_id, _asked(form), acting=context.acting())
            return see(url_for("players.player", player_id=player_id))
    return _one(player_id, change=form)


@blueprint.post("/players/<int:player_id>/racquet")
def add_racquet(player_id: int):
    form = RacquetFields()
    form.frame_id.choices = options(frame_choices(context.reading(), context.current_event()))
    if form.validate_on_submit():
        with saving(form, "The racquet is added.") as session:
            asked = {"frame_id": form.frame_id.data, "note": form.note.data or ""}
            players.add_racquet(session, context.event_id(), player_id, **asked, acting=context.acting())
            return see(url_for("players.player", player_id=player_id))
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


@blueprint.get("/players/<int:player_id>/history.csv")
def history_file(player_id: int) -> Response:
    who = _who(player_id)
    table = history_table(context.reading(), context.current_event(), who)
    named = {"Content-Disposition": f'attachment; filename="racquets-{who.code}.csv"'}
    return Response(csv_text(table), mimetype="text/csv", headers=named)


@blueprint.post("/players/<int:player_id>/link")
def new_link(player_id: int) -> Sent:
    with context.writing() as session:
        players.new_token(session, context.event_id(), player_id, acting=context.acting())
    flash("A new link is made; the old one no longer works. Print it for the player.")
    return see(url_for("players.player", player_id=player_id))


@blueprint.post("/players/<int:player_id>/erase")
def erase(player_id: int):
    form, code = DeskForm(), _who(player_id).code
    if form.validate_on_submit():
        with saving(form) as session:
            erasing.erase_player(session, context.event_id(), player_id, acting=context.acting())
            flash(f"The personal data of {code} are erased; the figures stay whole.")
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
    if form.validate_on_submit():
        with saving(form, "The frame is on the list.") as session:
            frames.add_frame(session, context.event_id(), form.asked(), acting=context.acting())
            return see(url_for("players.frame_list"))
    return _frames(form)


@blueprint.route("/players/frames/<int:frame_id>", methods=["GET", "POST"])
def frame(frame_id: int):
    found = find_of(context.reading(), context.current_event(), Frame, frame_id, "frame")
    form = FrameFields(obj=found)
    if form.validate_on_submit():
        with saving(form, "The frame is changed.") as session:
            frames.edit_frame(session, context.event_id(), frame_id, form.asked(), acting=context.acting())
            return see(url_for("players.frame_list"))
    return show("players/frame.html", frame=found, form=form)
