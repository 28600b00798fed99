"""Taking over from an earlier event: which one, what of it, and who is who."""

from __future__ import annotations

from flask import Blueprint, flash, request, url_for
from wtforms import SelectField

from desk.errors import NotFound
from desk.models import Event
from desk.queries.rehearsal.earlier_event import returning
from desk.services.rehearsal.taking_over import PARTS, SOMEBODY_ELSE, take_over
from desk.web import context
from desk.web.event.events import my_events
from desk.web.forms import DeskForm, TicksField, options, saving, see, show

blueprint = Blueprint("take_over", __name__)
SAID = {
    "players": "Players with their racquets",
    "cards": "Job cards: each racquet as it was strung last",
    "frames": "Frames",
    "strings": "Strings",
    "prices": "Price list",
    "machines": "Benches and machines",
    "team": "Team: names, paces, what each may string",
}
NOT_SAID = "-"
"""Nothing was answered yet about one of two spellings."""


class PartsForm(DeskForm):
    parts = TicksField("What to take over", choices=options((part, SAID[part]) for part in PARTS), default=list(PARTS))


class EarlierForm(DeskForm):
    earlier = SelectField("Earlier event", coerce=int)


@blueprint.get("/take-over")
def page():
    earlier = _earlier(request.args.get("earlier", type=int))
    return _page(PartsForm(formdata=None), earlier)


@blueprint.post("/take-over/<int:earlier_id>")
def take(earlier_id: int):
    form, earlier = PartsForm(), _earlier(earlier_id)
    if earlier is None:
        raise NotFound("There is no such earlier event among yours; choose one on the page Take over.")
    if form.validate_on_submit():
        with saving(form) as session:
            before = session.get_one(Event, earlier.id)
            sent = session, context.event_id(), session, before, form.parts.data, _answers()
            flash(f"Taken over from {before.name}: {take_over(*sent, acting=context.acting())}.")
            return see(url_for("take_over.page"))
    return _page(form, earlier)


def _answers() -> dict[str, str]:
    """Who each of those asked about is: a code here, or somebody else."""
    sent = {name[4:]: value for name, value in request.form.items() if name.startswith("who-") and value != NOT_SAID}
    return {code: SOMEBODY_ELSE if value == "new" else value for code, value in sent.items()}


def _earlier(number: int | None) -> Event | None:
    allowed = {line.id for line in my_events()} - {context.event_id()}
    return context.reading().get(Event, number) if number in allowed else None


def _page(form: PartsForm, earlier: Event | None):
    lines = [line for line in my_events() if line.id != context.event_id()]
    choose = EarlierForm(formdata=None, data={"earlier": earlier.id if earlier else None})
    choose.earlier.choices = options((line.id, line.name) for line in lines)
    session = context.reading()
    people = returning(session, context.current_event(), session, earlier) if earlier else []
    shown = {"choose": choose, "earlier": earlier, "people": people, "not_said": NOT_SAID}
    sent = _answers() if request.method == "POST" else {}
    return show("rehearsal/take_over.html", form=form, sent=sent, **shown)
