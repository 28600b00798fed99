"""The hall board: public, without touch, on a large screen."""

from __future__ import annotations

from flask import Blueprint, render_template

from desk.errors import NotFound
from desk.queries.hall.hall_board import hall_board
from desk.queries.players.player_page import event_of_slug
from desk.web import context
from desk.web.fragments import fragment

blueprint = Blueprint("board", __name__)


def _take(slug: str) -> None:
    event_id = event_of_slug(context.reading(), slug)
    if event_id is None:
        raise NotFound(f"There is no event “{slug}”. Take the board's address from the event's settings.")
    context.use_event(event_id)


def _values() -> dict[str, object]:
    return {"board": hall_board(context.reading(), context.current_event(), context.event_time())}


@blueprint.get("/board/<slug>")
def page(slug: str) -> str:
    _take(slug)
    return render_template("hall/board/page.html", **_values())


@blueprint.get("/board/<slug>/lines")
def lines(slug: str):
    _take(slug)
    return _lines()


@fragment()
def _lines() -> str:
    return render_template("hall/board/_lines.html", **_values())
