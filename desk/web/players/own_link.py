"""What the pages behind an unguessable link share: whose it is, the answer of a dead one, the language."""

from __future__ import annotations

from flask import make_response, render_template
from werkzeug.wrappers import Response

from desk.web import context


def person_of(found: tuple[int, int] | None) -> int | None:
    """Return who is FOUND behind a link, and make the event this request's; None when the link is dead."""
    if found is None:
        return None
    person_id, event_id = found
    context.use_event(event_id)
    return person_id


def in_language(answer: object) -> Response:
    """Return an answer that depends on the language which the phone reads."""
    response = make_response(answer)
    response.vary.add("Accept-Language")
    return response


def dead_link() -> Response:
    context.g.head = None
    return in_language((render_template("players/own_page/dead.html"), 404))
