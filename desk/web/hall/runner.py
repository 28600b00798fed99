"""The runner's list, on a phone: what to carry to which court, and one touch when it is there."""

from __future__ import annotations

from flask import Blueprint, flash, render_template, url_for
from werkzeug.wrappers import Response

from desk.models import Job
from desk.queries.finding import find_of
from desk.queries.hall import runner as runner_queries
from desk.services.bench.undo import undo_hand_over
from desk.services.counter.handovers import hand_over
from desk.web import context
from desk.web.forms import see, show
from desk.web.fragments import fragment

blueprint = Blueprint("runner", __name__)


def _values() -> dict[str, object]:
    event, session = context.current_event(), context.reading()
    return {
        "runs": runner_queries.runs(session, event, context.event_time()),
        "carried": runner_queries.carried(session, event),
    }


@blueprint.get("/runner")
def page():
    return show("hall/runner/page.html", **_values())


@blueprint.get("/runner/lines")
@fragment()
def lines() -> str:
    return render_template("hall/runner/_lines.html", **_values())


@blueprint.post("/runner/<int:job_id>")
def give(job_id: int) -> Response:
    """Hand a racquet over at its court; the same touch sent twice counts once."""
    event = context.current_event()
    job = find_of(context.reading(), event, Job, job_id, "job")
    if job.state != "handed_over":
        runs = runner_queries.runs(context.reading(), event, context.event_time())
        court = next((run.court for run in runs if run.card.job_id == job.id), "")
        context.do(hand_over, [job.id], collected_by=court or "court")
        flash(f"{job.code} is handed over at {court or 'the court'}.")
    return see(url_for("runner.page"))


@blueprint.post("/runner/undo/<int:hand_over_id>")
def undo(hand_over_id: int) -> Response:
    context.do(undo_hand_over, hand_over_id)
    flash("Taken back: the racquet is to be carried again.")
    return see(url_for("runner.page"))
