"""A try to sign in takes a place before anything else is done for it, so that a refused one costs next to nothing."""

from __future__ import annotations

from contextlib import ExitStack

from flask import Flask, Response, current_app, g, render_template, request

from desk.errors import Busy
from desk.services.team.guessing import MANY, Who, place_to_try, wrong_addresses
from desk.web.team.known_browsers import known_browser


def take_place() -> Response | None:
    """Take a place for a password that was sent, or refuse it by a page that was rendered before."""
    if request.method != "POST" or request.endpoint != "sign_in.password":
        return None
    g.who_tries = _who()
    with ExitStack() as place:
        try:
            place.enter_context(place_to_try(g.who_tries))
        except Busy:
            return Response(_refusal(), 503, {"Retry-After": "1"})
        g.place_to_try = place.pop_all()
    return None


def _who() -> Who:
    if known_browser(request.form.get("name", "")):
        return "known"
    return "fresh" if wrong_addresses.is_fresh(request.remote_addr or "") else "stranger"


def _refusal() -> str:
    """Return the page, rendered once in a request of its own: nothing of a visitor's gets into it."""
    kept = current_app.extensions
    if "refused_try" not in kept:
        with current_app.test_request_context():
            kept["refused_try"] = render_template("team/sign_in/many.html", text=MANY)
    return kept["refused_try"]


def give_back(_error: BaseException | None = None) -> None:
    place: ExitStack | None = g.pop("place_to_try", None)
    if place is not None:
        place.close()


def add_places_to_try(app: Flask) -> None:
    app.before_request(take_place)
    app.teardown_request(give_back)
