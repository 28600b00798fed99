"""A racquet whose stringer is away or whose machine is out: one touch says what becomes of it."""

from __future__ import annotations

from flask import Blueprint, flash, request, url_for
from werkzeug.wrappers import Response

from desk.errors import BadInput
from desk.queries.plan import stranded as stranded_queries
from desk.services.bench import stranded
from desk.web import context
from desk.web.forms import see

blueprint = Blueprint("stranded", __name__)


@blueprint.post("/plan/racquet/<int:job_id>/stranded")
def decide(job_id: int) -> Response:
    what, at, acting = request.form.get("what", ""), context.event_id(), context.acting()
    with context.writing() as session:
        if what == "hand_on":
            stranded.hand_on(session, at, job_id, request.form.get("stringer_id", 0, type=int), acting=acting)
        elif what == "cut_out":
            stranded.cut_out(session, at, job_id, acting=acting)
        elif what == "hold":
            stranded.hold_half_strung(session, at, job_id, acting=acting)
        else:
            raise BadInput("Say what becomes of the racquet.")
    flash(SAID[what])
    return see(url_for("plan.page"))


def or_ask(address: str) -> str:
    """Return where the way goes after somebody or something fell away: to what stands still, else to ADDRESS."""
    found = stranded_queries.stranded(context.reading(), context.current_event(), context.event_time())
    return url_for("plan.page", _anchor="stranded") if any(not one.is_held for one in found) else address


SAID = {
    "hand_on": "Handed on. The plan is being made anew.",
    "cut_out": "It waits to be strung anew. It stands under Went wrong until its string is booked as waste.",
    "hold": "Held, half-strung. The plan leaves it out until you say what becomes of it.",
}
