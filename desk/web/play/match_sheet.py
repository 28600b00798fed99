"""The order of play from a file: stored as a whole, or every fault listed and nothing stored."""

from __future__ import annotations

from flask import Blueprint, Response, flash, url_for

from desk.errors import BadInput
from desk.services.event_files import read_matches
from desk.services.event_files.tables.all_tables import BY_NAME
from desk.services.event_files.tables.spec import Row
from desk.services.play.match_sheets import MatchesTaken, take_matches
from desk.web import context
from desk.web.forms import saving, see, show
from desk.web.play.play import what_moved
from desk.web.table_files import SheetForm, empty_sheet, require_sheet

blueprint = Blueprint("match_sheet", __name__)
MATCHES = BY_NAME["matches"]


@blueprint.route("/play/sheet", methods=["GET", "POST"])
def page():
    form = SheetForm()
    if form.validate_on_submit():
        try:
            rows, name = _read(form)
        except BadInput as error:
            form.take(error)
            return show("play/sheet.html", form=form, columns=MATCHES.columns)
        with saving(form) as session:
            taken = take_matches(session, context.event_id(), rows, file_name=name, acting=context.acting())
            flash(_told(taken))
            return see(url_for("play.page"))
    return show("play/sheet.html", form=form, columns=MATCHES.columns)


def _read(form: SheetForm) -> tuple[tuple[Row, ...], str]:
    data, name = form.sheet()
    require_sheet(data, "order of play")
    return read_matches(context.reading(), context.current_event(), data=data, file_name=name), name


def _told(taken: MatchesTaken) -> str:
    left = f" {taken.left} that have begun stay as they are." if taken.left else ""
    added = "1 match" if taken.added == 1 else f"{taken.added} matches"
    return f"{added} added, {taken.changed} changed.{left} {what_moved(taken.moved)}"


@blueprint.get("/play/sheet/empty.csv")
def empty() -> Response:
    return empty_sheet(MATCHES)
