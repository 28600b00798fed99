"""Search from everywhere: one field finds a player, a contact, a tag, a match, a string or a screen."""

from __future__ import annotations

from flask import Blueprint, request, url_for

from desk.queries.home.search import Found, search
from desk.web import access, context
from desk.web.display import link_to
from desk.web.forms import see, show

blueprint = Blueprint("search", __name__)
ADDRESSES = {
    "tag": ("tags.job", "code"),
    "player": ("players.player", "player_id"),
    "contact": ("contacts.contact", "contact_id"),
    "match": ("matches.match", "match_id"),
    "string": ("store.page", "q"),
}


@blueprint.get("/search")
def page():
    text = request.args.get("q", "")
    if "/" in text and access.may("tags.find", context.actor().role):  # a link, read by a scanner or pasted
        return see(url_for("tags.find", code=text))
    found = [(_address(one), one) for one in search(context.reading(), context.current_event(), text)]
    found, screens = [pair for pair in found if pair[0]], _screens(text)
    if len(found) == 1 and not screens and found[0][1].kind == "tag" and found[0][1].key == text.strip().upper():
        return see(found[0][0])
    return show("home/search.html", text=text, found=found, screens=screens)


def _address(one: Found) -> str | None:
    endpoint, part = ADDRESSES[one.kind]
    return link_to(endpoint, **{part: one.key})


def _screens(text: str) -> list[tuple[str, str]]:
    wanted = text.strip().lower()
    named = [(link_to(endpoint), word) for endpoint, word, _ in access.MENU if wanted and wanted in word.lower()]
    return [(address, word) for address, word in named if address]
