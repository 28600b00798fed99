"""The organiser's page: today in figures, live, and the way to the sheets. Nothing is written here."""

from __future__ import annotations

from flask import Blueprint, render_template

from desk.queries.close import today
from desk.queries.close.usage_files import read_usage
from desk.web import context
from desk.web.fragments import fragment
from exports.summary import figures
from exports.tables import tables

blueprint = Blueprint("organiser", __name__)


def _today() -> dict[str, object]:
    event, session, at = context.current_event(), context.reading(), context.event_time()
    day = today(session, event, at)
    report = read_usage(session, event, day.date, at=at)
    by_key = {sheet.key: sheet for sheet in tables(report)}
    compared = by_key["comparison"]
    return {
        "day": day,
        "report": report,
        "figures": figures(report),
        "hours": by_key["throughput_by_hour"].rows,
        "compared": compared.rows,
        "compared_with": compared.note,
        "most": max((row.strung for row in report.throughput_by_hour), default=0),
    }


@blueprint.get("/organiser")
def page() -> str:
    return render_template("close/organiser/page.html", **_today())


@blueprint.get("/organiser/today")
@fragment()
def live() -> str:
    return render_template("close/organiser/_today.html", **_today())
