"""A tag, scanned or typed, opens its job: state, promise, card, history, and what can be done."""

from __future__ import annotations

from flask import Blueprint, flash, render_template, request, url_for
from wtforms import SelectField, StringField
from wtforms.validators import InputRequired, Length

from desk.errors import NotFound
from desk.models import Job
from desk.queries.counter.counter import court_in_play
from desk.queries.counter.job_cards import CardView, card_by_code
from desk.queries.counter.pickup import player_of_token
from desk.queries.event.events import stringer_names
from desk.queries.finding import find_of
from desk.queries.home import log as log_queries
from desk.queries.plan.planned_place import planned_place, reason_now
from desk.queries.play.said_racquets import SaidRacquet, bags_of_player
from desk.queries.players.contacts import contact_of_link
from desk.queries.promise.open_times import open_times
from desk.queries.word.words import messages_of
from desk.services.bench import jobs
from desk.services.bench.redoing import string_again
from desk.services.bench.undo import undo_last
from desk.trade.bench.tag_code import tidy_code
from desk.trade.errors import CodeError
from desk.web import access, context
from desk.web.counter.with_whom import whom_of
from desk.web.forms import DeskForm, options, saving, see, show
from desk.web.fragments import fragment

blueprint = Blueprint("tags", __name__)
ACTIONS = {
    "hold": ("Hold", ("waiting",), jobs.hold_job),
    "release": ("Let it wait again", ("held",), None),
    "cancel": ("Cancel", ("waiting", "held"), jobs.cancel_job),
    "redo": ("String again", ("strung", "handed_over"), string_again),
}


class ActionForm(DeskForm):
    action = SelectField("What to do", validators=[InputRequired("choose what to do")])
    reason = StringField("Why", [Length(max=200)])


def read_tag(text: str) -> str:
    """Return the code in what a scanner or a person typed: bare, in small letters, or at the end of a link."""
    parts = [part for part in text.strip().replace("?", "/").replace("=", "/").split("/") if part]
    typed = parts[-1] if parts else ""
    try:
        return tidy_code(typed)
    except CodeError:
        return typed.strip()


@blueprint.get("/tag")
def find():
    typed = read_tag(request.args.get("code", ""))
    if not typed:
        return show("counter/tags/find.html")
    player_id = player_of_token(context.reading(), context.event_id(), typed)
    if player_id is not None and access.may("pickup.player", context.actor().role):
        return see(url_for("pickup.player", player_id=player_id))
    contact_id, event_id = contact_of_link(context.reading(), typed) or (None, None)
    if event_id == context.event_id() and access.may("contacts.contact", context.actor().role):
        return see(url_for("contacts.contact", contact_id=contact_id))
    if card_by_code(context.reading(), context.event_id(), typed) is None:
        flash(f"There is no tag {typed} at this event.")
        return see(url_for("search.page", q=typed))
    return see(url_for("tags.job", code=typed))


def card_at(code: str) -> CardView:
    """Return the card of a tag as it was scanned or typed."""
    card = card_by_code(context.reading(), context.event_id(), read_tag(code))
    if card is None:
        raise NotFound(f"There is no tag {code} at this event. Look the player up at pickup instead.")
    return card


def _card(code: str) -> CardView:
    try:
        return card_at(code)
    except NotFound:
        tidy_code(code)  # says which character is wrong
        raise


@blueprint.get("/tag/<code>")
def job(code: str):
    return show("counter/tags/job.html", **_job_values(_card(code)))


@blueprint.get("/tag/<code>/now")
@fragment()
def now(code: str) -> str:
    return render_template("counter/tags/_job.html", **_job_values(_card(code)))


def _job_values(card: CardView, form: ActionForm | None = None) -> dict[str, object]:
    session = context.reading()
    form = form or ActionForm(formdata=None)
    can = {key: word for key, (word, states, _) in ACTIONS.items() if card.state in states}
    if card.is_half_strung:
        can.pop("release")  # it cannot wait like a new one: what becomes of it is asked first
    form.action.choices = options(can.items())
    return {
        "card": card,
        "changes": log_queries.state_changes(session, card.job_id),
        "open_why": open_times(session, context.current_event(), context.event_time()).get(card.job_id, ""),
        "messages": messages_of(session, card.job_id),
        "promises": log_queries.promises(session, card.job_id),
        "place": planned_place(session, context.current_event(), card.job_id) if card.state == "waiting" else None,
        "why": reason_now(session, context.current_event(), session.get_one(Job, card.job_id)),
        "whom": whom_of(card).get(card.job_id),
        "in_play": card.state == "waiting" and court_in_play(session, context.current_event(), card.player_id),
        "said": next((one for one in _bags(card) if one.job_id == card.job_id), None),
        "stringers": stringer_names(session, context.event_id()) if card.state == "waiting" else [],
        "form": form,
    }


def _bags(card: CardView) -> list[SaidRacquet]:
    waits = card.state in ("waiting", "held")
    return bags_of_player(context.reading(), context.current_event(), card.player_id) if waits else []


@blueprint.post("/tag/<code>/act")
def act(code: str):
    card, form = _card(code), ActionForm()
    values = _job_values(card, form)
    if form.validate_on_submit():
        with saving(form, f"{ACTIONS[form.action.data][0]}: done.") as session:
            _act(session, card, form)
            return see(url_for("tags.job", code=card.code))
    return show("counter/tags/job.html", **values)


def _act(session, card: CardView, form: ActionForm) -> None:
    find_of(session, context.current_event(), Job, card.job_id, "job")
    acting, at = context.acting(), context.event_id()
    if form.action.data == "release":
        jobs.release_job(session, at, card.job_id, acting=acting)
    else:
        ACTIONS[form.action.data][2](session, at, card.job_id, form.reason.data, acting=acting)


@blueprint.post("/tag/<code>/undo")
def undo(code: str):
    card = _card(code)
    context.do(undo_last, card.job_id)
    flash("The last change is taken back. It stands in the log.")
    return see(url_for("tags.job", code=card.code))
