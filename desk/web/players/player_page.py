"""A player's own page, opened by an unguessable link without an account; its address names nobody."""

from __future__ import annotations

from collections.abc import Collection
from hashlib import sha256

from flask import Blueprint, abort, make_response, render_template, request
from werkzeug.wrappers import Response

from desk.queries.plan.spoken_bench import SpokenBenches
from desk.queries.players.player_page import OwnPage, own_pages, player_of_link
from desk.queries.promise.open_times import open_times
from desk.trade.event.calendar_file import Appointment, calendar_file
from desk.web import context, languages
from desk.web.fragments import kept_for_hall, revision_tag
from desk.web.languages import gettext, ngettext
from desk.web.players import player_words
from desk.web.players.own_link import dead_link, in_language, person_of
from desk.web.word import own_ways

blueprint = Blueprint("player_page", __name__)
blueprint.record_once(languages.add_languages)
blueprint.record_once(player_words.add_words)


def _player(token: str) -> int | None:
    return person_of(player_of_link(context.reading(), token))


def _page_of(player_id: int) -> OwnPage:
    at = context.event_time()
    return own_pages(context.reading(), context.event_id(), [player_id], at, _benches(), _undecided())[player_id]


def _undecided() -> Collection[int]:
    """Return the racquets whose time is open; read once for all phones."""
    head, at = context.head(), context.event_time()
    key = f"undecided {head.id} {head.revision} {head.planned_change_number} {at:%Y%m%d%H%M}"
    return kept_for_hall(key, lambda: frozenset(open_times(context.reading(), context.current_event(), at)))


def _benches() -> SpokenBenches | None:
    """Return who strings for whom, where the event tells its players; read once for all phones."""
    head, at = context.head(), context.event_time()
    if not head.names_stringers:
        return None
    key = f"benches {head.id} {head.revision} {at:%Y%m%d%H%M}"
    return kept_for_hall(key, lambda: SpokenBenches(context.reading(), context.current_event(), at))


@blueprint.get("/p/<token>")
@blueprint.get("/p/<token>/<code>")
def page(token: str, code: str = "") -> Response:
    player_id = _player(token)
    if player_id is None:
        return dead_link()
    word = own_ways.values(own_ways.PLAYER, token, {"player_id": player_id})
    return in_language(render_template("players/own_page/page.html", own=_page_of(player_id), code=code, **word))


@blueprint.get("/p/<token>/now/racquets")
def now(token: str) -> Response:
    """Answer with what changed for this player; a change that concerns only others is a 304.

    The tag has two parts: the state of the whole event, by which a phone is answered at once while
    nothing happened anywhere, and what the player sees.
    """
    player_id = _player(token)
    if player_id is None:
        # The script loads the page anew then, and that one says that the link is dead.
        abort(401)
    state = revision_tag(player_id, languages.language())
    asked = [tag.partition("-") for tag in request.if_none_match]
    seen = {content for _, _, content in asked}
    known = next((content for before, _, content in asked if before == state), None)
    own = None if known else kept_for_hall(f"own {state}", lambda: _page_of(player_id))
    content = known or _tag(own)
    unchanged, tag = content in seen, f"{state}-{content}"
    response = make_response(("", 304) if unchanged else kept_for_hall(tag, lambda: _shown(own, token)))
    response.set_etag(tag)
    return in_language(response)


def _shown(own: OwnPage | None, token: str) -> str:
    return render_template("players/own_page/_own.html", own=own, token=token)


def _tag(own: OwnPage) -> str:
    head, today = context.head(), context.clock().local(context.event_time()).date()
    of_event = (head.name, head.desk_place, head.time_zone, today)
    return sha256(repr((own, of_event, languages.language())).encode()).hexdigest()[:20]


@blueprint.get("/p/<token>/pickup.ics")
def pickup(token: str) -> Response:
    """Give the times to fetch racquets as a calendar file."""
    player_id = _player(token)
    if player_id is None:
        return dead_link()
    head = context.head()
    appointments = [
        Appointment(
            uid=f"{racquets[0].card.code}-{head.slug}@stringing-desk",
            at=at,
            changed_at=max(one.promises[-1].given_at for one in racquets),
            summary=ngettext("Collect %(num)s racquet", "Collect %(num)s racquets", len(racquets))
            % {"num": len(racquets)},
            place=", ".join(filter(None, (gettext("Stringing desk"), head.desk_place, head.name))),
            text=", ".join(one.card.code for one in racquets),
        )
        for at, racquets in _page_of(player_id).to_fetch().items()
    ]
    body = calendar_file(appointments, product="stringing-desk", language=languages.language())
    response = make_response(body, {"Content-Type": "text/calendar; charset=utf-8"})
    response.headers["Content-Disposition"] = 'attachment; filename="pickup.ics"'
    return in_language(response)
