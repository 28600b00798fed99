"""How one racquet was strung before, and the trade's advice when to restring: beside the card, where the owner asks."""

from __future__ import annotations

from flask import Blueprint, render_template, request

from desk.models import Player
from desk.queries.finding import find_of
from desk.queries.players import strung_before as past
from desk.web import context
from desk.web.forms import show

blueprint = Blueprint("strung_before", __name__)


@blueprint.get("/players/<int:player_id>/before/<int:number>")
def page(player_id: int, number: int):
    session, event = context.reading(), context.current_event()
    who = find_of(session, event, Player, player_id, "player")
    found = past.strung_before(session, event, who, number, context.event_time())
    if context.wants_fragment():
        return render_template("players/_before.html", past=found)
    at_drop_off = request.args.get("at") == "drop-off"
    return show("players/before.html", past=found, at_drop_off=at_drop_off, tag=request.args.get("tag", ""))
