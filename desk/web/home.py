"""Home: what needs somebody now, each line leading to where it is mended."""

from __future__ import annotations

from flask import Blueprint, render_template

from desk.queries import home as home_queries
from desk.web import context
from desk.web.forms import show
from desk.web.fragments import fragment

blueprint = Blueprint("home", __name__)


def _home() -> home_queries.Home:
    return home_queries.home(context.reading(), context.current_event(), context.event_time())


@blueprint.get("/now")
def page():
    return show("home/page.html", home=_home())


@blueprint.get("/now/lines")
@fragment()
def lines() -> str:
    return render_template("home/_lines.html", home=_home())
