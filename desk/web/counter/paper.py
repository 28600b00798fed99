"""Paper: tags, the receipt, the job card, a new link. Each is a page of its own size."""

from __future__ import annotations

from flask import Blueprint, flash, render_template, request, url_for
from werkzeug.wrappers import Response

from desk.errors import NotFound
from desk.models import DropOff, Job, Player
from desk.queries.counter.job_cards import CardView, card_views
from desk.queries.counter.paper_card import paper_card
from desk.queries.finding import find_of
from desk.queries.money.charge_lines import tax_of_lines
from desk.queries.money.visit_shares import visit_shares
from desk.queries.plan.planned_place import planned_place
from desk.queries.players.contacts import sees_prices
from desk.services.bench.jobs import BENCH_CHECKS
from desk.services.players.players import new_token
from desk.web import context
from desk.web.counter.receipt_pages import is_many, receipt_pages
from desk.web.counter.tags import card_at
from desk.web.forms import see
from desk.web.qr import player_link, qr_drawing

blueprint = Blueprint("print", __name__)
blueprint.add_app_template_global(qr_drawing)
SIZES = ("label", "a7")


def _player(player_id: int) -> Player:
    return find_of(context.reading(), context.current_event(), Player, player_id, "player")


def _tags(cards: list[CardView], this: str, **address: object) -> str:
    asked = request.args.get("size", "")
    size = asked if asked in SIZES else SIZES[0]
    player = _player(cards[0].player_id)
    links = {card.code: player_link(player.token, card.code) for card in cards}
    sizes = [(one, url_for(this, size=one, **address)) for one in SIZES]
    return render_template("counter/print/tags.html", cards=cards, size=size, sizes=sizes, links=links)


@blueprint.get("/print/tag/<code>")
def tag(code: str) -> str:
    return _tags([card_at(code)], "print.tag", code=code)


@blueprint.get("/print/tags/<int:drop_off_id>")
def tags(drop_off_id: int) -> str:
    return _tags(_visit(drop_off_id)[1], "print.tags", drop_off_id=drop_off_id)


def _visit(drop_off_id: int) -> tuple[DropOff, list[CardView]]:
    drop_off = find_of(context.reading(), context.current_event(), DropOff, drop_off_id, "drop-off")
    cards = card_views(context.reading(), Job.drop_off_id == drop_off.id, Job.state != "cancelled")
    if not cards:
        raise NotFound("Every racquet of this drop-off was cancelled; there is nothing to print.")
    return drop_off, cards


@blueprint.get("/print/receipt/<int:drop_off_id>")
def receipt(drop_off_id: int) -> str:
    drop_off, cards = _visit(drop_off_id)
    link = player_link(drop_off.player.token)
    session, event = context.reading(), context.current_event()
    shares = visit_shares(session, event, drop_off.player_id, [card.job_id for card in cards])
    prices = {card.job_id: shares.own_minor(card.job_id) for card in cards}
    taxes = tax_of_lines(event, [line for found in shares.own.values() for line in found])
    about = {"prices": prices, "total": sum(prices.values()), "taxes": taxes, "others": shares.others}
    notes = (drop_off.frame_note, drop_off.consent, drop_off.brought_by)
    about |= {"pages": receipt_pages(cards, notes, len(shares.others)), "many": is_many(cards)}
    about["with_prices"] = sees_prices(session, drop_off.brought_by_id, drop_off.player_id)
    return render_template("counter/print/receipt.html", drop_off=drop_off, cards=cards, link=link, **about)


@blueprint.get("/print/card/<code>")
def card(code: str) -> str:
    found = card_at(code)
    place = planned_place(context.reading(), context.current_event(), found.job_id)
    link = player_link(_player(found.player_id).token, found.code)
    more = paper_card(context.reading(), context.current_event(), found, context.event_time())
    return render_template(
        "counter/print/card.html", card=found, place=place, link=link, checks=BENCH_CHECKS, more=more
    )


@blueprint.get("/print/link/<int:player_id>")
def link(player_id: int) -> str:
    player = _player(player_id)
    ways = {"way_back": url_for("pickup.player", player_id=player.id), "new_link": request.path}
    return render_template("counter/print/link.html", name=player.called, link=player_link(player.token), **ways)


@blueprint.post("/print/link/<int:player_id>")
def new_link(player_id: int) -> Response:
    context.do(new_token, player_id)
    flash("The new link is below; the old one no longer works.")
    return see(url_for("print.link", player_id=player_id))
