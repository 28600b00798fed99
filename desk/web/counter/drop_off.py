"""Drop-off: a player by a few letters, the racquets as last time or changed, a ready time, and undo."""

from __future__ import annotations

from flask import Blueprint, flash, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import BooleanField, IntegerField, SelectField, StringField
from wtforms.validators import InputRequired, Length, NumberRange, Optional

from desk.errors import Conflict, NotFound
from desk.models import DropOff, Player
from desk.queries.counter import counter
from desk.queries.finding import find_of
from desk.queries.players.contacts import contact_at, contacts_of
from desk.queries.players.players import find_players, racquet_rows
from desk.queries.string.store import string_label
from desk.services.bench import jobs
from desk.services.counter import drop_offs
from desk.services.play.needed_by import needed_by_for
from desk.services.players import frames, players
from desk.services.string import string_list
from desk.web import context
from desk.web.counter.ready import Ready, ready_for
from desk.web.counter.visit_forms import VisitForm, visit_form
from desk.web.forms import DeskForm, options, row_number, saving, see, show
from desk.web.string.string_form import StringTypeForm

blueprint = Blueprint("drop_off", __name__)
UNDONE = "undone"


class NewPlayerFields(DeskForm):
    name = StringField("Name", [InputRequired("give the player’s name"), Length(max=200)])
    phone = StringField("Telephone", [Length(max=40)])
    is_namesake = BooleanField("Another player of the same name")


class NewRacquetFields(DeskForm):
    frame_id = SelectField("Frame", coerce=lambda value: int(value or 0), validate_choice=False)
    count = IntegerField("How many", [Optional(), NumberRange(1, 12, "1 to 12")], default=1)
    frame_name = StringField("Frame, if it is not on the list", [Length(max=120)])
    mains = IntegerField("Mains", [Optional()])
    crosses = IntegerField("Crosses", [Optional()])


@blueprint.get("/drop-off")
def page():
    text = request.args.get("q", "").strip()
    found = find_players(context.reading(), context.current_event(), text, limit=8)
    if text and len(found) == 1:
        return see(url_for("drop_off.player", player_id=found[0].player_id, needed=request.args.get("needed")))
    return show("counter/drop_off/page.html", text=text, found=found, adding=NewPlayerFields(formdata=None, name=text))


@blueprint.get("/drop-off/players")
def search() -> str:
    text = request.args.get("q", "").strip()
    found = find_players(context.reading(), context.current_event(), text, limit=8)
    return render_template(
        "counter/drop_off/_players.html", text=text, found=found, adding=NewPlayerFields(formdata=None, name=text)
    )


@blueprint.post("/drop-off/players")
def add_player():
    form = NewPlayerFields()
    if form.validate_on_submit():
        with saving(form) as session:
            return see(url_for("drop_off.player", player_id=_add_player(session, form).id))
    found = find_players(context.reading(), context.current_event(), form.name.data or "", limit=8)
    return show("counter/drop_off/page.html", text=form.name.data or "", found=found, adding=form)


def _add_player(session, form: NewPlayerFields) -> Player:
    asked = players.PlayerForm(name=form.name.data, phone=form.phone.data or "")
    namesake = form.is_namesake.data
    return players.add_player(session, context.event_id(), asked, acting=context.acting(), is_namesake=namesake)


@blueprint.route("/drop-off/<int:player_id>", methods=["GET", "POST"])
def player(player_id: int):
    who = _player(player_id)
    form = _form(who)
    if request.method == "GET":
        return _show(who, form)
    if request.form.get("do") == "racquet":
        return _add_racquets(who)
    if request.form.get("do") == "string":
        return _add_string(who)
    again = counter.visit_of_key(context.reading(), context.current_event(), form.request_key.data or "")
    if again is not None:
        return see(url_for("drop_off.done", drop_off_id=again, **_round()))
    if request.form.get("do") == "accept" and _has_been_shown(form) and form.validate():
        with saving(form) as session:
            return see(url_for("drop_off.done", drop_off_id=_take(session, form, who).id, **_round()))
    return _show(who, form)


def _player(player_id: int) -> Player:
    found = find_of(context.reading(), context.current_event(), Player, player_id, "player")
    if found.erased_at is not None:
        raise Conflict(f"The personal data of {found.code} were erased; add the player anew.")
    return found


def _form(who: Player) -> VisitForm:
    """Return the form; the address may name racquets to take in at once (`take=3&take=4`, or `take=all`) or a
    court that waits for them (`needed=on_court`)."""
    event, session = context.current_event(), context.reading()
    rows = racquet_rows(session, who)
    asked = request.args.getlist("take")
    every = {row.racquet_id for row in rows if row.last is not None and not row.is_at_desk}
    take = every if asked == ["all"] else {number for one in asked if (number := row_number(one)) is not None}
    bringing = [(one.contact_id, one.said) for one in contacts_of(session, who.id) if one.leave.may_drop_off]
    by = request.args.get("by", type=int)
    chosen = {"bringing": bringing, "brought_by_id": by if by in dict(bringing) else None}
    form = visit_form(rows, counter.string_choices(session, event), take=frozenset(take), **chosen)
    if request.method == "GET" and request.args.get("needed") == "on_court":
        form.needed_by_kind.data = "on_court"
    return form


def _round() -> dict[str, object]:
    """Return who brought the racquets, and the players whose drop-offs come next, as the address says."""
    then = [number for one in request.args.getlist("then") if (number := row_number(one)) is not None]
    by = request.args.get("by", type=int)
    return {} if by is None else {"by": by, "then": then}


def _has_been_shown(form: VisitForm) -> bool:
    """Tell whether every racquet's ready time was on the screen; without script it is shown first."""
    if not form.validate() or all(part.shown_ready_at or _shown_without_time(part) for part in form.taken):
        return True
    form.trouble = "Here is the ready time. Tell the player, then accept."
    return False


def _shown_without_time(part) -> bool:
    return request.form.get(part.shown_name) == "none"


def _take(session, form: VisitForm, who: Player) -> DropOff:
    return drop_offs.take_drop_off(session, context.event_id(), form.drop_off(who.id), acting=context.acting())


def _show(
    who: Player,
    form: VisitForm,
    adding: NewRacquetFields | None = None,
    new_string: StringTypeForm | None = None,
    first_new: int | None = None,
):
    event, session = context.current_event(), context.reading()
    now = context.event_time()
    rows = racquet_rows(session, who)
    adding = adding or NewRacquetFields(formdata=None, prefix="new-")
    adding.frame_id.choices = options([(0, "choose …"), *counter.frame_choices(session, event)])
    return show(
        "counter/drop_off/player.html",
        player=who,
        form=form,
        here=[row for row in rows if row.is_at_desk],
        ready=ready_for(event, form, who.id) if form.taken else Ready(),
        next_match=needed_by_for(session, event, who.id, kind="match", at=now),
        adding=adding,
        new_string=new_string or StringTypeForm(formdata=None, prefix="string-"),
        round=_round(),
        first_new=first_new,
    )


def _add_string(who: Player):
    """Add a string in between; what was typed on the form stays."""
    adding = StringTypeForm(prefix="string-")
    if adding.validate():
        with saving(adding) as session:
            asked = adding.asked(string_list.StringForm)
            string = string_list.add_string(session, context.event_id(), asked, acting=context.acting())
            flash(f"{string_label(string)} is on the list; its reel or set is taken in at the string store.")
            adding = None
    return _show(who, _form(who), new_string=adding)


def _add_racquets(who: Player):
    """Add racquets to the player in between; what was typed on the form stays."""
    adding = NewRacquetFields(prefix="new-")
    made: list[int] = []
    if adding.validate():
        with saving(adding) as session:
            made = _write_racquets(session, who, adding)
    form = _form(who)
    for part in form.parts:
        part.take.data = part.take.data or part.racquet.racquet_id in made
    return _show(who, form, None if made else adding, first_new=min(made, default=None))


def _write_racquets(session, who: Player, adding: NewRacquetFields) -> list[int]:
    at, acting = context.event_id(), context.acting()
    frame_id = adding.frame_id.data
    if adding.frame_name.data:
        asked = frames.FrameForm(
            name=adding.frame_name.data, mains=adding.mains.data or 0, crosses=adding.crosses.data or 0
        )
        frame_id = frames.add_frame(session, at, asked, acting=acting).id
    if not frame_id:
        adding.frame_id.errors = ["choose the frame, or name one that is not on the list"]
        raise Conflict("Choose the frame first.")
    added = [players.add_racquet(session, at, who.id, frame_id, acting=acting) for _ in range(adding.count.data or 1)]
    return [racquet.id for racquet in added]


@blueprint.post("/drop-off/<int:player_id>/ready")
def ready(player_id: int) -> str:
    who = _player(player_id)
    form = _form(who)
    return render_template(
        "counter/drop_off/_ready.html", ready=ready_for(context.current_event(), form, who.id), form=form
    )


@blueprint.get("/drop-off/taken/<int:drop_off_id>")
def done(drop_off_id: int):
    asked, following = _round(), None
    if asked.get("then"):
        next_id, *then = asked["then"]
        then_by = {"take": "all", "by": asked["by"], "then": then}
        following = _player(next_id), url_for("drop_off.player", player_id=next_id, **then_by)
    by = contact_at(context.reading(), context.current_event(), asked.get("by"))
    return show("counter/drop_off/done.html", visit=_visit(drop_off_id), following=following, by=by)


def _visit(drop_off_id: int) -> counter.Visit:
    found = counter.visit(context.reading(), context.current_event(), drop_off_id)
    if found is None:
        raise NotFound("There is no such drop-off at this event; look the player up at drop-off.")
    return found


@blueprint.post("/drop-off/taken/<int:drop_off_id>/undo")
def undo(drop_off_id: int) -> Response:
    visit = _visit(drop_off_id)
    with context.writing() as session:
        for card in visit.cards:
            if card.state != "cancelled":
                jobs.cancel_job(session, context.event_id(), card.job_id, UNDONE, acting=context.acting())
    flash(f"The drop-off of {visit.player} is taken back. It stands in the log.")
    return see(url_for("drop_off.player", player_id=visit.player_id))
