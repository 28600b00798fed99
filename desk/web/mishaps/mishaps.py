"""Something went wrong: a short form from the tag, and the lead's list until each is closed."""

from __future__ import annotations

from flask import Blueprint, flash, url_for
from werkzeug.wrappers import Response
from wtforms import BooleanField, RadioField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from desk.queries.mishaps.mishaps import mishap_lines
from desk.services.mishaps import mishaps
from desk.trade.mishaps import kinds_for
from desk.web import context
from desk.web.counter.tags import card_at
from desk.web.forms import DeskForm, options, saved, saving, see, show

blueprint = Blueprint("mishaps", __name__)


class ReportForm(DeskForm):
    kind = RadioField("What went wrong", validators=[InputRequired("choose what went wrong")])
    note = TextAreaField("What was found, and who says so", [Length(max=300)])
    again = BooleanField("String it anew, free of charge and before others")


class CloseForm(DeskForm):
    done = StringField("What was done", [InputRequired("say what was done"), Length(max=300)])


@blueprint.get("/mishaps")
def page():
    return _list(CloseForm(formdata=None))


def _list(form: CloseForm, wrong: int | None = None):
    lines = mishap_lines(context.reading(), context.current_event())
    return show("mishaps/page.html", lines=lines, form=form, wrong=wrong)


@blueprint.route("/mishaps/of/<code>", methods=["GET", "POST"])
def report(code: str):
    card, form = card_at(code), ReportForm()
    form.kind.choices = options((kind.key, kind.words) for kind in kinds_for(card.state))
    if form.validate_on_submit():
        with saving(form) as session:
            event_id, acting = context.event_id(), context.acting()
            made = mishaps.report_mishap(session, event_id, card.job_id, form.asked(mishaps.MishapForm), acting=acting)
            flash(f"Noted. {made.done}." if made.done else "Noted. It stands on the list until somebody closes it.")
            return see(url_for("tags.job", code=made.job.code))
    before = mishap_lines(context.reading(), context.current_event(), job_id=card.job_id)
    return show("mishaps/report.html", card=card, form=form, before=before)


@blueprint.post("/mishaps/<int:mishap_id>/close")
def close(mishap_id: int):
    form, done = CloseForm(), "Closed. It stands below, and can be opened again."
    if saved(form, done, mishaps.close_mishap, mishap_id, form.done.data):
        return see(url_for("mishaps.page"))
    return _list(form, mishap_id)


@blueprint.post("/mishaps/<int:mishap_id>/open")
def reopen(mishap_id: int) -> Response:
    context.do(mishaps.reopen_mishap, mishap_id)
    flash("It is on the list again.")
    return see(url_for("mishaps.page"))
