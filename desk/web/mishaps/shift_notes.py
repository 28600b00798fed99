"""Handover between shifts: how the desk stands, the words of who goes, the name of who comes."""

from __future__ import annotations

from flask import Blueprint, flash, url_for
from werkzeug.wrappers import Response
from wtforms import TextAreaField
from wtforms.validators import Length

from desk.queries.mishaps.shift import notes, standings
from desk.services.mishaps import shift_notes
from desk.web import context
from desk.web.forms import DeskForm, saved, see, show

blueprint = Blueprint("shift_notes", __name__)


class NoteForm(DeskForm):
    words = TextAreaField("What else the next shift must know", [Length(max=2000)])


@blueprint.get("/shift")
def page():
    return _shown(NoteForm(formdata=None))


def _shown(form: NoteForm):
    session, event = context.reading(), context.current_event()
    found = standings(session, event, context.event_time())
    return show("mishaps/shift.html", standings=found, notes=notes(session, event), form=form)


@blueprint.post("/shift")
def sign():
    form, done = NoteForm(), "Signed. The next shift signs below when it has read it."
    if saved(form, done, shift_notes.hand_shift_over, form.words.data):
        return see(url_for("shift_notes.page"))
    return _shown(form)


@blueprint.post("/shift/<int:note_id>/taken")
def take_over(note_id: int) -> Response:
    note = context.do(shift_notes.take_shift_over, note_id)
    flash(f"You have taken over from {note.by}.")
    return see(url_for("shift_notes.page"))
