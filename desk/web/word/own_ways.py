"""Asking for word on the own page of a player or a contact, and ending it by one touch; the link says who asks."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, abort, current_app, jsonify, make_response, render_template, request, url_for
from flask.blueprints import BlueprintSetupState
from werkzeug.wrappers import Response

from desk.errors import BadInput, Conflict, DeskError
from desk.queries.players.contacts import contact_of_link
from desk.queries.players.player_page import player_of_link
from desk.queries.word.word_ways import BY_PAGE, MAIL, PHONE, doors, may_be_told, ways_of
from desk.services.acting import Acting
from desk.services.word.vapid_key import kept_vapid, public_part
from desk.services.word.word_ways import Asked, ask, event_of_stop, stop_by_token, stop_way
from desk.web import context, languages
from desk.web.forms import see
from desk.web.languages import gettext as _
from desk.web.players.own_link import in_language, person_of

blueprint = Blueprint("own_ways", __name__)
Person = dict[str, int]
"""Who asks: `player_id` or `contact_id` with its number."""
PLAYER, CONTACT = "p", "for"
"""What the addresses of own pages begin with."""
WRONG, FULL, OFF, DONE, ENDED = "wrong", "full", "off", "done", "ended"


def _forgives_missing_tokens(state: BlueprintSetupState) -> None:
    """A link that nobody guesses is what a forged form lacks; no cookie says anything here."""
    for view in (mail, phone, end, stop):
        state.app.extensions["csrf"].exempt(view)


blueprint.record_once(_forgives_missing_tokens)


@blueprint.app_template_filter("masked")
def _masked(address: str) -> str:
    """An e-mail address as its owner knows it again and nobody else learns it: "i…@example.org"."""
    local, _at, host = address.rpartition("@")
    return f"{local[:1]}…@{host}"


def values(whose: str, token: str, person: Person) -> dict[str, Any]:
    """Return what the part about word shows on the page whose link is TOKEN, of a player or a contact."""
    event, lacks, is_demo = context.current_event(), doors(), context.head().clock_real_at is not None
    offers = event.tells_anybody and (whose == PLAYER or may_be_told(context.reading(), **person))
    return {
        "whose": whose,
        "token": token,
        "ways": ways_of(context.reading(), **person) if offers else [],
        "offers_word": offers,
        "offers_mail": offers and event.mail_by_players and (is_demo or not lacks.mail),
        "offers_phone": offers and not lacks.phone,
        "is_demo": is_demo,
        "push_key": _push_key() if offers and not lacks.phone else "",
        "asked": request.args.get("asked", ""),
    }


def _push_key() -> str:
    kept = current_app.extensions
    if "push_key" not in kept:
        kept["push_key"] = public_part(kept_vapid(context.database()))
    return kept["push_key"]


def _person(whose: str, token: str) -> Person:
    """Return who asks by the link TOKEN, and make the event this request's."""
    person_id = person_of((player_of_link if whose == PLAYER else contact_of_link)(context.reading(), token))
    if person_id is None:
        abort(404)
    return {"player_id" if whose == PLAYER else "contact_id": person_id}


def _acting() -> Acting:
    return Acting(by=BY_PAGE, at=context.event_time())


def _page(whose: str, token: str, **more: str) -> str:
    """Return the address of the person's own page."""
    if whose == PLAYER:
        return url_for("player_page.page", token=token, **more)
    return url_for("contact_page.page", contact_token=token, **more)


def _back(whose: str, token: str, asked: str) -> Response:
    return see(_page(whose, token, lang=languages.language(), asked=asked, _anchor="word"))


@blueprint.post("/p/<token>/word/mail", defaults={"whose": PLAYER})
@blueprint.post("/for/<token>/word/mail", defaults={"whose": CONTACT})
def mail(whose: str, token: str) -> Response:
    """Tell the player by e-mail from now on."""
    person = _person(whose, token)
    address = request.form.get("address", "").strip()
    if not context.current_event().mail_by_players:
        return _back(whose, token, OFF)
    try:
        with context.writing() as session:
            asked = Asked(kind=MAIL, address=address, language=languages.language(), **person)
            ask(session, context.event_id(), asked, acting=_acting())
    except BadInput:
        return _back(whose, token, WRONG)
    except Conflict:
        return _back(whose, token, FULL)
    return _back(whose, token, DONE)


@blueprint.post("/p/<token>/word/phone", defaults={"whose": PLAYER})
@blueprint.post("/for/<token>/word/phone", defaults={"whose": CONTACT})
def phone(whose: str, token: str) -> Response:
    """Tell the player on this phone from now on; what the browser's push service gave is the body."""
    person, sent = _person(whose, token), request.get_json(silent=True)
    keys = sent.get("keys") if isinstance(sent, dict) else None
    texts = [sent.get("endpoint"), keys.get("p256dh"), keys.get("auth")] if isinstance(keys, dict) else [None]
    if not all(isinstance(text, str) for text in texts) or doors().phone:
        abort(400)
    endpoint, public_key, secret = texts
    push = {"address": endpoint, "public_key": public_key, "auth_secret": secret}
    asked = Asked(kind=PHONE, language=languages.language(), **push, **person)
    try:
        with context.writing() as session:
            way_id = ask(session, context.event_id(), asked, acting=_acting()).id
    except DeskError as error:
        return make_response("", error.status)
    return jsonify(end=url_for("own_ways.end", whose=whose, token=token, way_id=way_id))


@blueprint.post("/p/<token>/word/<int:way_id>/end", defaults={"whose": PLAYER})
@blueprint.post("/for/<token>/word/<int:way_id>/end", defaults={"whose": CONTACT})
def end(whose: str, token: str, way_id: int) -> Response:
    """Tell the player no more by one way of the own page."""
    person = _person(whose, token)
    if way_id not in [way.id for way in ways_of(context.reading(), **person)]:
        abort(404)
    with context.writing() as session:
        stop_way(session, context.event_id(), way_id, acting=_acting())
    return make_response("", 204) if context.wants_fragment() else _back(whose, token, ENDED)


@blueprint.route("/word/stop/<stop_token>", methods=["GET", "POST"])
def stop(stop_token: str):
    """End one way from a message: a page with one button, or at once where a mail program asks (RFC 8058)."""
    event_id = event_of_stop(context.reading(), stop_token)
    if event_id is None:
        context.g.head = None
        return render_template("word/stop.html", state="unknown"), 404
    context.use_event(event_id)
    if request.method == "POST":
        with context.writing() as session:
            stop_by_token(session, stop_token, at=context.event_time(), by=BY_PAGE)
        return render_template("word/stop.html", state="ended")
    return render_template("word/stop.html", state="asks")


@blueprint.get("/word-worker.js")
def worker() -> Response:
    """Give the script that shows a notice while no page is open; it stands for every page of the desk."""
    response = current_app.send_static_file("js/word_worker.js")
    response.headers["Cache-Control"] = "no-cache"
    return response


@blueprint.get("/p/<token>/app.webmanifest", defaults={"whose": PLAYER})
@blueprint.get("/for/<token>/app.webmanifest", defaults={"whose": CONTACT})
def manifest(whose: str, token: str) -> Response:
    """Say how the page is put on a home screen (W3C Web Application Manifest)."""
    _person(whose, token)
    page = _page(whose, token)
    response = jsonify(
        id=page,
        start_url=page,
        scope=f"/{whose}/",
        display="standalone",
        name=" · ".join((_("Your racquets"), context.head().name)),
        short_name=_("Your racquets"),
        lang=languages.language(),
        background_color="#ffffff",
        theme_color="#ffffff",
        icons=[{"src": url_for("static", filename="mark.svg"), "sizes": "any", "type": "image/svg+xml"}],
    )
    response.mimetype = "application/manifest+json"
    return in_language(response)
