"""Close of day: the check list, closing, corrections, and the sheets with a preview of their first page."""

from __future__ import annotations

from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from flask import Blueprint, current_app, flash, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import BooleanField, StringField
from wtforms.validators import InputRequired, Length

from desk.errors import BadInput, NotFound
from desk.models import EventDay
from desk.queries.close import today
from desk.queries.close.day_checks import check_list
from desk.queries.close.usage_files import FORMATS, file_name, read_usage, usage_bytes
from desk.queries.finding import find_of
from desk.services.close import days
from desk.web import context
from desk.web.close.sheet_making import Making, SheetMaker
from desk.web.display import money
from desk.web.forms import DeskForm, saved, see, show
from desk.web.table_files import MIME_TYPES, as_file
from exports.summary import Figure, checked, figures, status

blueprint = Blueprint("sheets", __name__)
PLACES = {
    "benches": ("bench.benches", "Benches"),
    "plan": ("plan.page", "Plan"),
    "pickup": ("pickup.page", "Pickup"),
    "string": ("store.page", "String"),
    "charges": ("players.page", "Players"),
    "machines": ("machines.page", "Machines"),
    "mishaps": ("mishaps.page", "Went wrong"),
    "sheets": ("sheets.page", "Sheets"),
}
WHOLE = "event"


class CloseForm(DeskForm):
    """The button; while the desk is open a tick too, under the words of what waits."""

    while_open = BooleanField("Close it all the same")


class OpenForm(DeskForm):
    reason = StringField("Why it is opened again", [InputRequired("say why"), Length(max=days.LONGEST_NOTE)])


class CorrectionForm(DeskForm):
    note = StringField("Why it changed", [InputRequired("say why"), Length(max=days.LONGEST_NOTE)])


@blueprint.app_template_filter()
def figure_value(figure: Figure, currency: str) -> str:
    """A figure with its unit: "9", "101.5 m", "20.0 min", "290.00 EUR"; a dash where it is not known."""
    if figure.value is None:
        return "–"
    if figure.measure == "minor":
        return money(int(figure.value), currency)
    if figure.measure == "count":
        return f"{figure.value:,.0f}"
    tenths = Decimal(str(figure.value)).quantize(Decimal("0.1"), ROUND_HALF_UP)
    return f"{tenths:,} {'%' if figure.measure == 'pct' else figure.measure}"


@blueprint.get("/close-of-day")
def page():
    return _page(_asked_day(), CloseForm(), CorrectionForm())


def _page(day: EventDay, close: CloseForm, correction: CorrectionForm, opening: OpenForm | None = None):
    """The page of one day; the check list is for whoever may close it."""
    event, session, at = context.current_event(), context.reading(), context.event_time()
    report = read_usage(session, event, day.date, at=at)
    is_lead = context.actor().role == "lead"
    open_list = is_lead and day.closed_at is None and day.opens_at <= at
    return show(
        "close/sheets/page.html",
        day=day,
        every_day=context.current_event().days,
        report=report,
        figures=figures(report),
        status=status(report),
        checked=checked(report),
        checks=check_list(session, event, day, at=at) if open_list else [],
        changes=days.day_changes(session, event, day, at=at) if is_lead else [],
        close=close,
        asked=days.open_words(session, event, day, at=at) if open_list else "",
        earlier=days.earlier_open(session, event, day) if open_list else None,
        correction=correction,
        opening=opening or OpenForm(formdata=None, prefix="open-"),
        places=PLACES,
        formats=FORMATS,
    )


@blueprint.post("/close-of-day/<int:day_id>/close")
def close(day_id: int):
    form, day = CloseForm(), _own_day(day_id)
    if form.validate_on_submit():
        where = context.database(), context.event_id(), day_id
        try:
            _, copies, trouble = days.end_day(*where, acting=context.acting(), while_open=form.while_open.data)
        except days.StillOpen as error:
            form.take(error)
            return _page(day, form, CorrectionForm(formdata=None))
        flash("The day is closed. What comes from now on counts for the next day.")
        if copies:
            flash(f"The sheets are copied to {copies[0].parent}.")
        if trouble:
            flash(f"The sheets are not copied. {trouble}")
    return _seen(day)


def _seen(day: EventDay) -> Response:
    return see(url_for("sheets.page", day=day.date.isoformat()))


@blueprint.post("/close-of-day/<int:day_id>/open")
def open_again(day_id: int):
    form, day = OpenForm(prefix="open-"), _own_day(day_id)
    if saved(form, "The day is open again; its sheet says so.", days.open_again, day_id, reason=form.reason.data):
        return _seen(day)
    return _page(day, CloseForm(formdata=None), CorrectionForm(formdata=None), form)


@blueprint.post("/close-of-day/<int:day_id>/correct")
def correct(day_id: int):
    form, day = CorrectionForm(), _own_day(day_id)
    done = "The correction is noted. Every sheet of that day shows it."
    if saved(form, done, days.correct_day, day_id, note=form.note.data):
        return _seen(day)
    return _page(day, CloseForm(formdata=None), form)


@blueprint.get("/close-of-day/files/<what>.<suffix>")
def file(what: str, suffix: str):
    event, session = context.current_event(), context.reading()
    day, ending = _what(what), _ending(suffix)
    report = read_usage(session, event, day, at=context.event_time())
    return as_file(usage_bytes(report, ending, csv_form=event.csv_form), file_name(event, day, ending))


@blueprint.post("/close-of-day/make/<what>.<suffix>")
def make(what: str, suffix: str):
    making = Making(event_id=context.event_id(), day=_what(what), suffix=_ending(suffix), at=context.event_time())
    return see(url_for("sheets.making", key=_maker().start(making)))


@blueprint.get("/close-of-day/making/<key>")
def making(key: str):
    return render_template("close/sheets/making.html", key=key, making=_maker().of(key, context.event_id()))


@blueprint.get("/close-of-day/making/<key>/progress")
def progress(key: str):
    return render_template("close/sheets/_progress.html", key=key, making=_maker().of(key, context.event_id()))


@blueprint.get("/close-of-day/making/<key>/file")
def made(key: str):
    found = _maker().of(key, context.event_id())
    if found.content is None:
        return see(url_for("sheets.making", key=key))
    return as_file(found.content, found.name)


def _maker() -> SheetMaker:
    return current_app.extensions.setdefault("desk_sheets", SheetMaker(context.database()))


def _asked_day() -> EventDay:
    asked = request.args.get("day", "")
    if not asked:
        return today(context.reading(), context.current_event(), context.event_time())
    found = next((day for day in context.current_event().days if day.date.isoformat() == asked), None)
    if found is None:
        raise NotFound(f"{asked[:20]} is not a day of this event; choose one on the page Close of day.")
    return found


def _own_day(day_id: int) -> EventDay:
    return find_of(context.reading(), context.current_event(), EventDay, day_id, "day")


def _what(word: str) -> date | None:
    if word == WHOLE:
        return None
    try:
        return date.fromisoformat(word)
    except ValueError as error:
        raise BadInput(f'"{word[:20]}" is not a day of this event; choose one on the page Close of day.') from error


def _ending(suffix: str) -> str:
    if f".{suffix}" not in MIME_TYPES:
        raise BadInput(f'"{suffix[:10]}" is not a format of the sheets; take xlsx, zip or json.')
    return f".{suffix}"
