"""Whether the installation is well, and its figures in the text format of Prometheus."""

from __future__ import annotations

import hmac
from collections.abc import Iterator

from flask import Blueprint, Response, abort, current_app, request
from sqlalchemy.exc import SQLAlchemyError

from desk.errors import DeskError
from desk.installation import setting
from desk.queries.plan.measures import EventMeasures, event_measures, open_events
from desk.services.acting import event_now
from desk.web import context
from desk.web.running.requests import BUCKETS, RequestCounts
from desk.web.word.word_sent import silent_seconds

blueprint = Blueprint("running", __name__)
THIS_MACHINE = ("127.0.0.1", "::1")
FIGURES = (
    ("open_jobs", "Racquets that wait, are on a machine or are held."),
    ("late_jobs", "Open racquets that the plan brings late."),
    ("tight_jobs", "Open racquets that the plan brings after they are needed and before they are late."),
    ("broken_promises", "Open racquets whose ready time has passed."),
    ("plan_age_seconds", "Age of the plan in force."),
    ("solve_seconds", "How long the plan in force was thought about."),
    ("gap", "How far the plan in force may be from the best one, as a share of its points."),
)


@blueprint.get("/healthz")
def healthz() -> Response:
    """Say that this process answers."""
    return _plain("ok\n")


@blueprint.get("/readyz")
def readyz() -> Response:
    """Say whether the records can be read, have the newest form, and a planner is at work."""
    try:
        troubles = list(_troubles())
    except DeskError as error:
        troubles = [str(error)]
    except SQLAlchemyError:
        troubles = ["the records cannot be reached"]
    return _plain("".join(f"{trouble}\n" for trouble in troubles) or "ready\n", 503 if troubles else 200)


def _troubles() -> Iterator[str]:
    database = context.database()
    if database.revision() != database.known_revisions()[0]:
        yield "the records are not of the newest form"
    watch = current_app.extensions.get("plan_watch")
    for event in open_events(context.reading()):
        context.use_event(event.id)
        context.g.pop("stale_seconds", None)
        if watch is not None and context.stale_since() is not None:
            yield f"the plan of {event.slug} is not kept up to date"
    if silent_seconds():
        yield "nothing is told: the sender is not heard"


@blueprint.get("/metrics")
def metrics() -> Response:
    """Give the figures to this machine itself, or to whoever holds DESK_METRICS_TOKEN."""
    token = setting("DESK_METRICS_TOKEN")
    shown = request.headers.get("Authorization", "").removeprefix("Bearer ")
    is_here = request.remote_addr in THIS_MACHINE and "X-Forwarded-For" not in request.headers
    if not (is_here or (token and hmac.compare_digest(shown.encode(), token.encode()))):
        abort(404)
    session = context.reading()
    measured = [event_measures(session, event, event_now(event)) for event in open_events(session)]
    lines = [*_of_requests(current_app.extensions["request_counts"]), *_of_events(measured)]
    response = _plain("\n".join(lines) + "\n")
    response.headers["Content-Type"] = "text/plain; version=0.0.4; charset=utf-8"
    return response


def _of_requests(counts: RequestCounts) -> Iterator[str]:
    yield "# HELP desk_requests_total Answers by status."
    yield "# TYPE desk_requests_total counter"
    for status, number in sorted(counts.answers.items()):
        yield f'desk_requests_total{{status="{status}"}} {number}'
    yield "# HELP desk_request_seconds How long answers took."
    yield "# TYPE desk_request_seconds histogram"
    for bucket in BUCKETS:
        yield f'desk_request_seconds_bucket{{le="{bucket:g}"}} {counts.within[bucket]}'
    yield f'desk_request_seconds_bucket{{le="+Inf"}} {counts.total}'
    yield f"desk_request_seconds_sum {counts.seconds:.6f}"
    yield f"desk_request_seconds_count {counts.total}"


def _of_events(measured: list[EventMeasures]) -> Iterator[str]:
    for name, meaning in FIGURES:
        yield f"# HELP desk_{name} {meaning}"
        yield f"# TYPE desk_{name} gauge"
        for one in measured:
            value = getattr(one, name)
            if value is not None:
                yield f'desk_{name}{{event="{one.slug}"}} {value:g}'


def _plain(text: str, status: int = 200) -> Response:
    return Response(text, status, mimetype="text/plain", headers={"Cache-Control": "no-store"})
