"""Home: what needs somebody now, each line leading to where it is mended."""

from __future__ import annotations

from flask import Blueprint, render_template

from desk.queries.home import home as home_queries
from desk.queries.home.first_steps import first_steps
from desk.queries.rehearsal.morning import morning
from desk.trade.event.event_settings import CLUB_WEEKEND
from desk.web import context
from desk.web.forms import show
from desk.web.fragments import fragment

blueprint = Blueprint("home", __name__)


def _shown() -> dict[str, object]:
    session, event = context.reading(), context.current_event()
    return {
        "home": home_queries.home(session, event, context.event_time()),
        "steps": first_steps(session, event, context.event_time()),
    }


@blueprint.get("/now")
def page():
    session, event = context.reading(), context.current_event()
    today = None if event.kind == CLUB_WEEKEND else morning(session, event, context.event_time())
    return show("home/page.html", **_shown(), morning=today)


@blueprint.get("/now/lines")
@fragment()
def lines() -> str:
    return render_template("home/_lines.html", **_shown())
