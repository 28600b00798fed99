"""One shift hands over to the next: the page as it stands, words of its own, two signatures."""

from __future__ import annotations

from functools import partial

from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import ShiftNote
from desk.queries.mishaps.shift import as_stored, standings
from desk.services.acting import Acting, lock_and_find, lock_event, log_change

_log = partial(log_change, subject="shifts", plan=False)


def hand_shift_over(session: Session, event_id: int, words: str, *, acting: Acting) -> ShiftNote:
    """Keep how the desk stands now, with words of the shift that goes; its name is the first signature."""
    event = lock_event(session, event_id)
    stood = as_stored(standings(session, event, acting.at))
    note = ShiftNote(event_id=event.id, at=acting.at, by=acting.by, words=words.strip(), stood=stood)
    session.add(note)
    _log(session, event, acting, f"{acting.by} hands the shift over")
    return note


def take_shift_over(session: Session, event_id: int, note_id: int, *, acting: Acting) -> ShiftNote:
    """Sign that the next shift has read it."""
    event, note = lock_and_find(session, event_id, ShiftNote, note_id, "note of a shift")
    if note.taken_over_at is not None:
        raise Conflict(f"{note.taken_over_by} has taken over already.")
    note.taken_over_at, note.taken_over_by = acting.at, acting.by
    _log(session, event, acting, f"{acting.by} takes the shift over from {note.by}")
    return note
