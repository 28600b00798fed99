"""String store: what is left, when it runs out, what to order; every change is an entry."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from flask import Blueprint, flash, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response
from wtforms import BooleanField, IntegerField, SelectField, StringField
from wtforms.validators import InputRequired, Length, NumberRange

from desk.errors import BadInput
from desk.models import Reel
from desk.queries.counter.counter import string_choices
from desk.queries.finding import find_of
from desk.queries.mishaps.mishaps import breaking_often, breaks_of_reel, breaks_often
from desk.queries.players.names import players_named, written_apart
from desk.queries.string.foresight import foresee
from desk.queries.string.orders import order_rows
from desk.queries.string.store import ReelRow, entry_rows, reel_rows, sets_left
from desk.services.bench.jobs import release_job
from desk.services.bench.releasing import held_for_string
from desk.services.string import new_reels, store, string_list
from desk.trade.event.names import search_name
from desk.trade.racquet.value_kinds import REEL_M
from desk.web import context
from desk.web.display import amount, day_hhmm
from desk.web.forms import DeskForm, MeasureField, MoneyField, options, saved, saving, see, show, within
from desk.web.string.string_form import StringTypeForm

blueprint = Blueprint("store", __name__)
SHOWN = 60
METRES = [InputRequired("give the metres"), within(REEL_M)]
ENTRIES = (
    ("receive", "came to it"),
    ("waste", "cut off or spoiled"),
    ("measured", "measured: so much is on it"),
)


class ReelsForm(DeskForm):
    string_id = SelectField("String", coerce=int)
    kind = SelectField("As", choices=options([("reel", "reels"), ("set", "sets"), ("half_set", "half sets")]))
    count = IntegerField("How many", [InputRequired("give a count"), NumberRange(1, 500, "1 to 500")], default=1)
    metres = MeasureField("Metres on each", METRES, default=200.0)
    owner = StringField("Owner, if it is a player’s own", [Length(max=200)])
    place = StringField("Where it lies", [Length(max=60)])
    price = MoneyField("What each cost", [Length(max=20)])
    opening = BooleanField("It was here when the event began")


class EntryForm(DeskForm):
    what = SelectField("What happened", choices=options(ENTRIES))
    metres = MeasureField("Metres", METRES)
    note = StringField("Why", [Length(max=200)])


class PlaceForm(DeskForm):
    place = StringField("Where it lies", [Length(max=60)])
    price = MoneyField("What it cost", [Length(max=20)])


class NoteForm(DeskForm):
    note = StringField("Why", [Length(max=200)])


def _found(rows: list[ReelRow], text: str) -> list[ReelRow]:
    """Return the reels in which every word of TEXT begins a word of name, code, owner, colour or place."""
    words = search_name(text).split()

    def holds(row: ReelRow) -> bool:
        about = f"{row.string_name} {row.code} {row.owner_name} {row.colour} {row.place} {row.material}"
        parts = search_name(about.replace("_", " ")).split()
        return all(any(part.startswith(word) for part in parts) for word in words)

    return [row for row in rows if holds(row)]


def _page(**sent: DeskForm):
    session, event, text = context.reading(), context.current_event(), request.args.get("q", "").strip()
    with_withdrawn = "all" in request.args
    rows = _found(reel_rows(session, event, with_withdrawn=with_withdrawn), text)
    strings = string_choices(context.reading(), context.current_event())
    blank = {"string": StringTypeForm(formdata=None), "reels": ReelsForm(formdata=None)}
    forms = blank | sent
    forms["reels"].string_id.choices = options(strings)
    ahead = foresee(session, event)
    runs_out = {one.reel_id: one for one in ahead.reels if one.runs_out}
    shown = {"text": text, "rows": rows[:SHOWN], "more": max(0, len(rows) - SHOWN), "sets": sets_left(rows)}
    shown["breaking"] = breaking_often(session, event)
    return show("string/page.html", **shown, strings=strings, ahead=ahead, runs_out=runs_out, **forms)


@blueprint.get("/store")
def page():
    return _page()


@blueprint.get("/store/order")
def order():
    rows = order_rows(context.reading(), context.current_event(), context.event_time())
    return show("string/order.html", rows=rows)


@blueprint.post("/store/strings")
def add_string():
    form, done = StringTypeForm(), "The string is on the list. Now its reels or sets."
    if saved(form, done, string_list.add_string, form.asked(string_list.StringForm)):
        return see(url_for("store.page"))
    return _page(string=form)


@blueprint.post("/store/reels")
def add_reels():
    form = ReelsForm()
    form.string_id.choices = options(string_choices(context.reading(), context.current_event()))
    if form.validate_on_submit():
        with saving(form, "Taken into the store.") as session, _telling(session):
            owner_id = _owner_id(session, form.owner)
            asked = form.asked(new_reels.NewReels, owner_id=owner_id, price_minor=form.price.minor)
            new_reels.add_reels(session, context.event_id(), asked, acting=context.acting())
            return see(url_for("store.page"))
    return _page(reels=form)


@contextmanager
def _telling(session: Session) -> Iterator[None]:
    """Say which racquets that were held for string go on by what is done meanwhile."""
    held = held_for_string(session, context.event_id())
    yield
    for job in held:
        if job.state == "waiting":
            ready = f"ready by {day_hhmm(job.promised_at)}" if job.promised_at else "without a ready time yet"
            flash(f"{job.code} of {job.player.called} goes on, {ready}: tell the player.")


def _owner_id(session: Session, field: StringField) -> int | None:
    text = field.data.strip()
    if not text:
        return None
    found = players_named(session, context.event_id(), text)
    if len(found) != 1:
        why = f"write {written_apart(session, found)}" if found else "no player of this name"
        field.errors = [*field.errors, why]
        raise BadInput(f"“{text}” cannot be found among the players; look at the name.")
    return found[0]


def _reel_page(reel_id: int, **sent: DeskForm):
    session, event = context.reading(), context.current_event()
    reel = find_of(session, event, Reel, reel_id, "reel")
    row = next(row for row in reel_rows(session, event) if row.reel_id == reel.id)
    cost = "" if reel.price_minor is None else amount(reel.price_minor, event.currency).replace(",", "")
    place = PlaceForm(formdata=None, data={"place": reel.place, "price": cost})
    forms = {"entry": EntryForm(formdata=None), "place": place, "note": NoteForm(formdata=None)} | sent
    broke = breaks_of_reel(session, reel.id)
    values = {"breaks": broke, "breaks_often": breaks_often(broke)}
    return show("string/reel.html", row=row, entries=entry_rows(session, reel.id)[::-1], **values, **forms)


@blueprint.get("/store/reel/<int:reel_id>")
def reel(reel_id: int):
    return _reel_page(reel_id)


@blueprint.post("/store/reel/<int:reel_id>/entry")
def entry(reel_id: int):
    form = EntryForm()
    done = "Entered as a new line; the earlier lines stay as they were."
    if form.validate_on_submit():
        with saving(form, done) as session, _telling(session):
            what = form.what.data
            book = {"receive": store.receive, "waste": store.waste, "measured": store.correct_reel}[what]
            note = form.note.data or ("measured" if what == "measured" else "")
            book(session, context.event_id(), reel_id, form.metres.data, acting=context.acting(), note=note)
            return _seen(reel_id)
    return _reel_page(reel_id, entry=form)


def _seen(reel_id: int) -> Response:
    return see(url_for("store.reel", reel_id=reel_id))


@blueprint.post("/store/reel/<int:reel_id>/place")
def place(reel_id: int):
    form = PlaceForm()
    if form.validate_on_submit():
        with saving(form) as session:
            at, acting = context.event_id(), context.acting()
            store.place_reel(session, at, reel_id, form.place.data, acting=acting)
            store.price_reel(session, at, reel_id, form.price.minor, acting=acting)
            return _seen(reel_id)
    return _reel_page(reel_id, place=form)


@blueprint.post("/store/reel/<int:reel_id>/off")
def off(reel_id: int):
    """Take a reel out of the store: as waste when it was spoiled, else with what is left on it."""
    form = NoteForm()
    do = store.write_off if request.form.get("spoiled") else store.withdraw
    if saved(form, "It is out of the store.", do, reel_id, note=form.note.data):
        return _seen(reel_id)
    return _reel_page(reel_id, note=form)


@blueprint.post("/store/reel/<int:reel_id>/back")
def put_back(reel_id: int) -> Response:
    form = DeskForm()
    if form.validate_on_submit():
        with saving(form, "It is in the store again.") as session, _telling(session):
            store.put_back(session, context.event_id(), reel_id, acting=context.acting())
    if form.trouble:
        flash(form.trouble)
    return _seen(reel_id)


@blueprint.post("/store/release/<int:job_id>")
def release(job_id: int) -> Response:
    context.do(release_job, job_id)
    flash("It waits in the queue again.")
    return see(url_for("store.page"))
