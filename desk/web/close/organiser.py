"""The organiser's page: today in figures, live, and the way to the sheets. Nothing is written here."""

from __future__ import annotations

from datetime import UTC, date, timedelta

from flask import Blueprint, render_template

from desk.queries.close import today
from desk.queries.close.due.over_the_day import day_pictures
from desk.queries.close.usage_files import read_usage
from desk.web import context
from desk.web.close.day_drawing import Drawing, lying, standing
from desk.web.fragments import fragment
from exports.report import UsageReport
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
        "pictures": _pictures(day.date, report),
    }


def _pictures(day: date, report: UsageReport) -> dict[str, Drawing]:
    """The pictures of the day, from the hours of its sheet."""
    event, session, at = context.current_event(), context.reading(), context.event_time()
    rows = report.throughput_by_hour
    starts = [(row.from_at - timedelta(minutes=row.utc_offset_min)).replace(tzinfo=UTC) for row in rows]
    each = report.summary.bench_mean_min or report.summary.target_min
    found = day_pictures(session, event, day, starts, each, at=at)
    names = [f"{row.from_at:%H}" for row in rows]
    said = ", ".join(f"{name} h {one.strung} of {one.can_do:.0f}" for name, one in zip(names, found.hours, strict=True))
    waits = ", ".join(f"{name} h {one.waiting}, late {one.late}" for name, one in zip(names, found.hours, strict=True))
    left = ", ".join(f"{one.string} {one.days:.1f}" for one in found.strings)
    return {
        "strung": standing(
            names,
            [row.strung for row in rows],
            f"Racquets strung by the hour, of what the team can do: {said}",
            marks=[one.can_do for one in found.hours],
        ),
        "waiting": standing(
            names,
            [one.waiting for one in found.hours],
            f"Racquets waiting at the end of each hour: {waits}",
            parts=[one.late for one in found.hours],
        ),
        "string": lying(
            [one.string for one in found.strings],
            [one.days for one in found.strings],
            f"Days that each string lasts: {left}",
            short=1.0,
        ),
    }


@blueprint.get("/organiser")
def page() -> str:
    return render_template("close/organiser/page.html", **_today())


@blueprint.get("/organiser/today")
@fragment()
def live() -> str:
    return render_template("close/organiser/_today.html", **_today())
