"""The log: who did what, when; searched by words."""

from __future__ import annotations

from flask import Blueprint, request

from desk.queries.home import log as log_queries
from desk.web import context
from desk.web.forms import show

blueprint = Blueprint("log", __name__)


@blueprint.get("/log")
def page():
    event, session = context.current_event(), context.reading()
    words, subject = request.args.get("q", "").strip(), request.args.get("subject", "")
    found = log_queries.log_lines(
        session, event, words=words, subject=subject, before_id=request.args.get("before", type=int)
    )
    lines, more = found[: log_queries.PAGE], len(found) > log_queries.PAGE
    subjects = log_queries.log_subjects(session, event)
    return show("home/log/page.html", lines=lines, more=more, words=words, subject=subject, subjects=subjects)
