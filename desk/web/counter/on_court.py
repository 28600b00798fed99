"""On court: a racquet sent from a match in play, in three touches: this screen, the racquet, go."""

from __future__ import annotations

import secrets
from datetime import datetime

from flask import Blueprint, flash, render_template, request, url_for
from wtforms import HiddenField, SelectMultipleField

from desk.errors import BadInput, Conflict
from desk.models import DropOff, Player
from desk.queries.counter import counter
from desk.queries.event.event_days import closed_since
from desk.queries.finding import find_of
from desk.queries.players.players import RacquetRow, find_players, racquet_rows
from desk.services.counter import court_calls, drop_offs
from desk.web import access, context
from desk.web.counter.ready import Ready, ready_for
from desk.web.counter.visit_forms import VisitForm, visit_form
from desk.web.display import hhmm
from desk.web.forms import KeyedForm, row_number, saving, see, show

blueprint = Blueprint("on_court", __name__)


@blueprint.app_template_global("day_closed_at")
def day_closed_at() -> datetime | None:
    """Return when today was closed, for every screen that takes racquets in."""
    return closed_since(context.reading(), context.current_event(), context.event_time())


class SendForm(KeyedForm):
    racquets = SelectMultipleField("Racquets", coerce=int, validate_choice=False)
    court_id = HiddenField()


@blueprint.get("/on-court")
def page():
    return show("counter/on_court/page.html", **_values())


def _values(form: SendForm | None = None) -> dict[str, object]:
    event, session = context.current_event(), context.reading()
    text = request.args.get("q", "").strip()
    in_play = counter.players_in_play(session, event)
    playing = {player.player_id for player in in_play}
    found = find_players(session, event, text, limit=6) if text else []
    others = [row.player_id for row in found if row.player_id not in playing]
    if text:
        in_play = [player for player in in_play if player.player_id in {row.player_id for row in found}]
    return {
        "text": text,
        "in_play": in_play,
        "others": counter.players_off_court(session, event, others),
        "form": form or SendForm(formdata=None),
        "new_key": lambda: secrets.token_urlsafe(12),
    }


@blueprint.get("/on-court/players")
def search() -> str:
    return render_template("counter/on_court/_players.html", **_values())


@blueprint.post("/on-court/<int:player_id>")
def send(player_id: int):
    form = SendForm()
    again = counter.visit_of_key(context.reading(), context.current_event(), form.request_key.data or "")
    if again is not None:
        return see(url_for("drop_off.done", drop_off_id=again))
    if form.validate_on_submit():
        with saving(form) as session:
            return see(url_for("drop_off.done", drop_off_id=_send(session, player_id, form).id))
    return show("counter/on_court/page.html", **_values(form))


@blueprint.post("/on-court/racquet/<int:job_id>/call")
def call(job_id: int):
    with context.writing() as session:
        job = court_calls.call_to_court(session, context.event_id(), job_id, acting=context.acting())
        told = f" Tell {job.player.called}: ready by {hhmm(job.promised_at)}." if job.promised_at else ""
        flash(f"{job.code} is on court now; the plan puts it first.{told}")
    return see(_way_back())


@blueprint.post("/on-court/racquet/<int:job_id>/take-back")
def take_back(job_id: int):
    job = context.do(court_calls.take_call_back, job_id)
    flash(f"Taken back: {job.code} waits as before.")
    return see(_way_back())


def _way_back() -> str:
    return access.safe_way_back(request.form.get("next", ""), url_for("on_court.page"))


def _send(session, player_id: int, form: SendForm) -> DropOff:
    asked = _as_last_time(player_id, form.racquets.data).drop_off(player_id, court_id=_court_id(form))
    return drop_offs.take_drop_off(session, context.event_id(), asked, acting=context.acting())


def _court_id(form: SendForm) -> int | None:
    return row_number(form.court_id.data)


def _as_last_time(player_id: int, racquet_ids: list[int]) -> VisitForm:
    """Return a drop-off from the court that repeats the last card of each racquet."""
    session, event = context.reading(), context.current_event()
    who = find_of(session, event, Player, player_id, "player")
    rows = [row for row in racquet_rows(session, who) if row.racquet_id in racquet_ids]
    if not rows:
        raise BadInput("Touch the racquet that comes off the court.")
    _require_cards(rows)
    form = visit_form(rows, counter.string_choices(session, event), take=frozenset(racquet_ids), sent=False)
    form.needed_by_kind.data = "on_court"
    # The same card on the same frame: what its owner agreed to still stands.
    form.consent.data = "; ".join(dict.fromkeys(row.last.consent for row in rows if row.last and row.last.consent))
    return form


def _require_cards(rows: list[RacquetRow]) -> None:
    for row in rows:
        if row.is_at_desk:
            raise Conflict(f"Racquet {row.number} is at the desk already as {row.last.code}.")
        if row.last is None:
            raise BadInput(f"Racquet {row.number} was not strung here yet: take it in at drop-off, with its card.")


@blueprint.post("/on-court/<int:player_id>/ready")
def ready(player_id: int) -> str:
    ids = [number for one in request.form.getlist("racquets") if (number := row_number(one)) is not None]
    found = Ready()
    if ids:
        found = ready_for(context.current_event(), _as_last_time(player_id, ids), player_id)
    return render_template("counter/on_court/_ready.html", ready=found)
