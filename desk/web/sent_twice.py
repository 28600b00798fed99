"""A form sent twice, by a double touch or a proxy that tries again, counts once and leads to the same page.

Every rendering of a page gives its forms another token against forgery, so the same token with the same contents at
the same address is the same form. Forms with a `request_key` tell by it themselves.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from hashlib import sha256

from flask import Flask, current_app, flash, g, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from desk.services.sent_once import SentTwice, claim
from desk.trade.event.event_time import utc_now
from desk.web.forms import see

KEPT = 500


class Answers:
    """Where the newest forms led to, by their digests."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._led_to: OrderedDict[str, str] = OrderedDict()

    def keep(self, digest: str, address: str) -> None:
        with self._lock:
            self._led_to[digest] = address
            while len(self._led_to) > KEPT:
                self._led_to.popitem(last=False)

    def of(self, digest: str) -> str | None:
        return self._led_to.get(digest)


def digest_of_request() -> str | None:
    """Return what this form is recognised by; None for what tells by itself, or may be sent as often as one likes."""
    if request.method != "POST" or request.blueprint == "sign_in" or not request.form.get("csrf_token"):
        return None
    if request.form.get("request_key") or request.files:
        return None
    parts = (request.full_path, *sorted(request.form.items(multi=True)))
    return sha256(repr(parts).encode()).hexdigest()


def claim_form(session: Session) -> None:
    """Count this request's form once; called at the beginning of its first transaction."""
    digest = digest_of_request()
    if digest is None or "claimed" in g:
        return
    g.claimed = digest
    claim(session, digest, real_now=utc_now())


def _remember(response: Response) -> Response:
    if "claimed" in g and response.status_code == 303:
        current_app.extensions["sent_forms"].keep(g.claimed, response.headers["Location"])
    return response


def _sent_twice(_error: SentTwice) -> Response:
    led_to = current_app.extensions["sent_forms"].of(g.pop("claimed", ""))
    flash("That was sent twice. It counted once.")
    return see(led_to or url_for("events.enter"))


def add_sent_twice(app: Flask) -> None:
    app.extensions["sent_forms"] = Answers()
    app.after_request(_remember)
    app.register_error_handler(SentTwice, _sent_twice)
