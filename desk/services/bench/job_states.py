"""From which state to which a job may go, and the record of each change."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import STATE_WORDS, Job, StateChange
from desk.services.acting import Acting
from desk.services.word.noting import note_state_change

UNDO_NOTE = "undone"

NEXT_STATES: dict[str, tuple[str, ...]] = {
    "waiting": ("on_machine", "held", "cancelled"),
    "held": ("waiting", "cancelled", "on_machine"),
    "on_machine": ("strung", "held", "waiting", "on_machine"),
    "strung": ("handed_over", "redo"),
    "handed_over": ("redo",),
    "cancelled": (),
    "redo": (),
}


def state_words(job: Job) -> str:
    """Return the job's state as a person says it."""
    return STATE_WORDS[job.state]


def seen_before(session: Session, request_key: str | None) -> bool:
    """Tell whether a touch with this key was carried out already: it is sent again when wifi fails."""
    if request_key is None:
        return False
    return session.scalar(select(StateChange.id).where(StateChange.request_key == request_key)) is not None


def change_state(
    session: Session, job: Job, to_state: str, *, acting: Acting, note: str = "", request_key: str | None = None
) -> None:
    """Take the job to another state and keep who, when, from and to.

    Refused where that one is not reached from its state.
    """
    if to_state not in NEXT_STATES[job.state]:
        raise Conflict(
            f"Racquet {job.code} is {state_words(job)}; it cannot become {STATE_WORDS[to_state]}. "
            "Look at the job again: somebody else may have changed it."
        )
    record_change(session, job, to_state, acting=acting, note=note, request_key=request_key)


def record_change(
    session: Session, job: Job, to_state: str, *, acting: Acting, note: str = "", request_key: str | None = None
) -> None:
    """Set the state and add its row, without asking whether the change is allowed (used by undo)."""
    change = StateChange(
        job_id=job.id,
        at=acting.at,
        by=acting.by,
        from_state=job.state,
        to_state=to_state,
        note=note,
        request_key=request_key,
    )
    session.add(change)
    job.state = to_state
    session.flush()
    note_state_change(session, job, change, is_undone=note == UNDO_NOTE)
