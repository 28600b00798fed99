"""Pickup: a tag or a name, what is ready for that player, who takes it, and the charges."""

from __future__ import annotations

from flask import Blueprint, flash, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import RadioField, StringField
from wtforms.validators import InputRequired, Length, Optional

from desk.models import Player
from desk.queries.bench.sisters import unlike_sisters
from desk.queries.counter import pickup as pickup_queries
from desk.queries.counter.job_cards import card_by_code
from desk.queries.finding import find_of
from desk.queries.money import charges as charge_queries
from desk.queries.money.holders import Holder
from desk.queries.players.contacts import contacts_of
from desk.services.bench.undo import undo_hand_over
from desk.services.counter.handovers import hand_over
from desk.services.money.payments import settle
from desk.trade.event.event_settings import CLUB_WEEKEND
from desk.trade.event.names import search_name
from desk.web import context
from desk.web.counter.tags import read_tag
from desk.web.counter.with_whom import whom_of
from desk.web.forms import DeskForm, TicksField, options, row_number, saving, see, show
from desk.web.fragments import fragment

blueprint = Blueprint("pickup", __name__)
ACCOUNT = "account"
CONTACT = "contact "
"""Before the number of a contact, as the value of a choice; what else is chosen is a name."""
METHODS = (
    (ACCOUNT, "Stays on the account"),
    ("cash", "Paid in cash"),
    ("card", "Paid by card"),
    ("prize_money", "From prize money"),
)
AT_ONCE = (("cash", "Paid in cash"), ("card", "Paid by card"), (ACCOUNT, "Not paid yet"))
"""How visitors pay: nothing is chosen for them, and there is no prize money."""


class HandOverForm(DeskForm):
    jobs = TicksField("Racquets", coerce=int)
    who = RadioField("Who takes them", validators=[Optional()], validate_choice=False)
    collected_by = StringField("Somebody else", [Length(max=80)])
    payment = RadioField("Charges", choices=options(METHODS), default=ACCOUNT)
    note = StringField("Note", [Length(max=200)])

    @property
    def contact_id(self) -> int | None:
        """The contact that takes them, unless somebody else is typed."""
        named = (self.who.data or "").partition(CONTACT)[2]
        return None if (self.collected_by.data or "").strip() else row_number(named)

    @property
    def collector(self) -> str:
        return (self.collected_by.data or self.who.data or "").strip()

    @property
    def said(self) -> str:
        """Who takes them, in words."""
        words = {value: word for value, word, *_ in self.who.iter_choices()}
        return words.get(self.collector, self.collector)


@blueprint.get("/pickup")
def page():
    text = request.args.get("q", "").strip()
    event, session = context.current_event(), context.reading()
    card = card_by_code(session, event.id, read_tag(text)) if text else None
    if card is not None:
        return see(url_for("pickup.player", player_id=card.player_id, tag=card.code))
    found = pickup_queries.players_with_racquets(session, event, search_name(text)) if text else []
    if len(found) == 1:
        return see(url_for("pickup.player", player_id=found[0][0]))
    return show("counter/pickup/page.html", text=text, found=found, **_waiting())


def _waiting() -> dict[str, object]:
    event, session = context.current_event(), context.reading()
    return {
        "uncollected": pickup_queries.uncollected(session, event),
        "given": pickup_queries.last_given(session, event),
    }


@blueprint.get("/pickup/waiting")
@fragment()
def waiting() -> str:
    return render_template("counter/pickup/_waiting.html", **_waiting())


@blueprint.route("/pickup/<int:player_id>", methods=["GET", "POST"])
def player(player_id: int):
    event, session = context.current_event(), context.reading()
    who = find_of(session, event, Player, player_id, "player")
    ready = pickup_queries.ready_cards(session, event, who.id)
    owed = charge_queries.open_minor(session, event, who.id)
    form = HandOverForm(jobs=[card.job_id for card in ready], who=who.called)
    form.jobs.choices = options((card.job_id, card.code) for card in ready)
    form.who.choices = options(_collectors(who))
    visitors = event.kind == CLUB_WEEKEND
    if visitors:
        _ask_for_payment(form, owed)
    if form.validate_on_submit():
        where = "at pickup; an invoice is made here" if visitors else "below"
        with saving(form, f"Handed over to {form.said}. A wrong touch can be taken back {where}.") as writing:
            _hand_over(writing, who, form, owed)
            return see(url_for("charges.page", player_id=who.id) if visitors else url_for("pickup.page"))
    coming = pickup_queries.coming_cards(session, event, who.id, context.event_time())
    values = {"coming": coming, "owed": owed, "whom": whom_of(*(line.card for line in coming))}
    values["unlike"] = unlike_sisters(session, event, player_id=who.id)
    account = charge_queries.account(session, event, who)
    tag = request.args.get("tag", "")
    return show("counter/pickup/player.html", player=who, ready=ready, form=form, account=account, tag=tag, **values)


def _ask_for_payment(form: HandOverForm, owed: int) -> None:
    """Let a visitor's payment be said and not assumed, where something is open."""
    form.payment.choices = options(AT_ONCE)
    if not form.payment.raw_data:
        form.payment.data = None
    if owed > 0:
        form.payment.validators = [InputRequired("say how it is paid")]


def _collectors(who: Player) -> list[tuple[str, str]]:
    """Return whoever may take the racquets: the player, contacts who collect, then who took some before."""
    session, event = context.reading(), context.current_event()
    named = [one for one in contacts_of(session, who.id) if one.leave.may_collect]
    known = {who.called, *(one.name for one in named)}
    before = [name for name in pickup_queries.collectors(session, event, who.id) if name not in known]
    contacts = [(f"{CONTACT}{one.contact_id}", one.said) for one in named]
    return [(who.called, who.called), *contacts, *((name, name) for name in before)]


def _hand_over(writing, who: Player, form: HandOverForm, owed: int) -> None:
    """Give the racquets and, in the same transaction, settle what was open when the page was shown."""
    acting, at = context.acting(), context.event_id()
    given = {"collected_by": form.collector, "contact_id": form.contact_id, "note": form.note.data}
    hand_over(writing, at, form.jobs.data, **given, acting=acting)
    if form.payment.data != ACCOUNT and owed > 0:
        settle(writing, at, Holder.of(who), owed, method=form.payment.data, acting=acting)


@blueprint.post("/pickup/undo/<int:hand_over_id>")
def undo(hand_over_id: int) -> Response:
    given = context.do(undo_hand_over, hand_over_id)
    flash("The hand-over is taken back: the racquets wait for pickup again. Payments stay as they are.")
    return see(url_for("pickup.player", player_id=given.player_id))
