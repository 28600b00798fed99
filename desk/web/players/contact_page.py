"""A contact's own page, opened by an unguessable link: the racquets of the players for whom it stands."""

from __future__ import annotations

from hashlib import sha256

from flask import Blueprint, abort, make_response, render_template, request
from werkzeug.wrappers import Response

from desk.queries.players.contact_page import ContactPage, contact_page
from desk.queries.players.contacts import contact_of_link
from desk.web import context
from desk.web.fragments import kept_for_hall, revision_tag
from desk.web.languages import language
from desk.web.players.own_link import dead_link, in_language, person_of
from desk.web.word import own_ways

blueprint = Blueprint("contact_page", __name__)


def _contact(token: str) -> int | None:
    return person_of(contact_of_link(context.reading(), token))


@blueprint.get("/for/<contact_token>")
def page(contact_token: str) -> Response:
    contact_id = _contact(contact_token)
    if contact_id is None:
        return dead_link()
    seen = contact_page(context.reading(), context.event_id(), contact_id, context.event_time())
    word = own_ways.values(own_ways.CONTACT, contact_token, {"contact_id": contact_id})
    return in_language(render_template("players/contacts/own/page.html", own=seen, seen=seen, **word))


@blueprint.get("/for/<contact_token>/now/racquets")
def now(contact_token: str) -> Response:
    """Answer with what the contact sees now; 304 while nothing of it changed."""
    contact_id = _contact(contact_token)
    if contact_id is None:
        # The script loads the page anew then, and that one says that the link is dead.
        abort(401)
    state = revision_tag("contact", contact_id, language())
    asked = (context.reading(), context.event_id(), contact_id, context.event_time())
    seen = kept_for_hall(f"contact {state}", lambda: contact_page(*asked))
    tag = _tag(seen)
    response = make_response("", 304) if tag in request.if_none_match else make_response(_shown(seen, contact_token))
    response.set_etag(tag)
    return in_language(response)


def _tag(seen: ContactPage) -> str:
    today = context.clock().local(context.event_time()).date()
    return sha256(repr((seen, context.head().desk_place, today, language())).encode()).hexdigest()[:20]


def _shown(seen: ContactPage, token: str) -> str:
    return render_template("players/contacts/own/_seen.html", seen=seen, token=token)
