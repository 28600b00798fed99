"""A word that waits and is not worth sending any more is dropped, with the reason."""

from __future__ import annotations

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from desk.models import Job, Word

SAYS_NOTHING = "nobody is told anything at this event"
DEMO = "the demo tells nobody"
OVERTAKEN = "overtaken"
CUT_OFF = "the desk was stopped while it sent this; it may have arrived"
FROM_A_COPY = "it waited when this copy of the records was taken; it may have been sent since"
IN_WORK = ("waiting", "on_machine")


def drop_waiting(session: Session, which: ColumnElement[bool], why: str) -> None:
    """Drop the words that wait and fulfil WHICH."""
    for word in session.scalars(select(Word).where(Word.state == "waiting", which)):
        word.state, word.why, word.next_at = "dropped", why, None


def doubt_copies(session: Session) -> None:
    """Send nothing by itself that waited when a copy of the records was taken: it may have gone since."""
    for word in session.scalars(select(Word).where(Word.state.in_(("waiting", "sending")))):
        word.state, word.why, word.next_at = "uncertain", FROM_A_COPY, None


def still_true(session: Session, word: Word) -> bool:
    """Tell whether a word says what stands in the records now."""
    job = word.job
    if word.occasion in ("later", "sooner", "late"):
        return job.state in IN_WORK and job.promised_at == word.ready_at
    if word.occasion == "taken_back":
        again = select(Job.state).where(Job.redo_of_id == job.id).order_by(Job.id.desc()).limit(1)
        state = session.scalar(again) if job.state == "redo" else job.state
        return state in (*IN_WORK, "held")
    return job.state == {"ready": "strung", "held": "held"}[word.occasion]
