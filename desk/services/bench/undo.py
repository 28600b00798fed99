"""Taking back a wrong touch: the last change of a job, kept in the log as its own line."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import STATE_WORDS, HandOver, Job, StateChange
from desk.services.acting import Acting, lock_and_find, log_change
from desk.services.bench.job_states import UNDO_NOTE, record_change, seen_before, state_words
from desk.services.bench.stranded import CUT_OUT
from desk.services.money import charges
from desk.services.string import string_use
from desk.trade.racquet.reel_choice import MISSING_WORDS


def undo_last(
    session: Session,
    event_id: int,
    job_id: int,
    *,
    acting: Acting,
    change_id: int | None = None,
    request_key: str | None = None,
) -> Job:
    """Take the job back to the state before its last change; string and charges are booked back.

    CHANGE_ID names the change that is meant: a touch that arrives late takes back no other one. Refused when it is
    being strung again already, or another change came after the one that is meant.
    """
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    if seen_before(session, request_key):
        return job
    last = _last_change(session, job)
    if change_id not in (None, last.id):
        raise Conflict(
            f"{job.code} has changed since and is {state_words(job)}; look at it again before you take the change back."
        )
    if last.to_state == "redo":
        raise Conflict(f"{job.code} is being strung again; cancel the new job instead.")
    if last.note == CUT_OUT:
        raise Conflict(f"{job.code} was cut out: its string is gone, and it is strung anew from the start.")
    if last.to_state == "on_machine" or last.from_state == "on_machine":
        _require_bench_free(session, job, last)
    if last.to_state == "strung":
        string_use.undo_use(session, event, job, acting=acting)
        charges.undo_charge(session, event, job, acting=acting)
    _reset_times(session, job, last, acting)
    before = "held" if _was_handed_on(last) else last.from_state
    record_change(session, job, before, acting=acting, note=UNDO_NOTE, request_key=request_key)
    text = f"{job.code}: '{STATE_WORDS[last.to_state]}' taken back, it is {STATE_WORDS[before]} again"
    log_change(session, event, acting, text, subject="jobs", job_id=job.id)
    return job


def _last_change(session: Session, job: Job) -> StateChange:
    changes = session.scalars(select(StateChange).where(StateChange.job_id == job.id).order_by(StateChange.id)).all()
    undoable: list[StateChange] = []
    for change in changes:
        if change.note == UNDO_NOTE:
            undoable = undoable[:-1]
        else:
            undoable.append(change)
    if not undoable or undoable[-1].from_state == "":
        raise Conflict(f"There is nothing to take back for {job.code}.")
    return undoable[-1]


def _require_bench_free(session: Session, job: Job, last: StateChange) -> None:
    if last.from_state != "on_machine":
        return
    other = session.scalar(
        select(Job).where(
            Job.event_id == job.event_id,
            Job.state == "on_machine",
            (Job.machine_id == job.machine_id) | (Job.stringer_id == job.stringer_id),
        )
    )
    if other is not None:
        raise Conflict(f"{other.code} is on that machine already; take that back first.")


def _was_handed_on(last: StateChange) -> bool:
    return last.to_state == "on_machine" and last.from_state in ("on_machine", "held")


def _reset_times(session: Session, job: Job, last: StateChange, acting: Acting) -> None:
    if _was_handed_on(last):
        # Whoever had it before may be away still: what becomes of it is asked again.
        job.expected_end_at, job.held_reason = None, "half-strung, its handing on was taken back"
    elif last.to_state == "on_machine":
        job.started_at = job.expected_end_at = job.stringer_id = job.machine_id = None
    elif last.to_state == "strung":
        job.finished_at, job.checks_done, job.stiffness = None, "", None
    elif last.to_state == "handed_over":
        job.hand_over_id = None
    elif last.to_state == "waiting" and last.from_state == "held":
        job.held_reason = _kept_back(session, job, acting)
    elif last.to_state == "held":
        job.held_reason = ""
        if last.from_state == "on_machine":
            job.started_at = _started_at(session, job)
            job.expected_end_at = acting.at


def _kept_back(session: Session, job: Job, acting: Acting) -> str:
    """Return the reason of a job that is held again; string that comes does not release it a second time."""
    found = select(StateChange.note).where(StateChange.job_id == job.id, StateChange.to_state == "held")
    reason = session.scalar(found.where(StateChange.note != UNDO_NOTE).order_by(StateChange.id.desc()).limit(1)) or ""
    return f"Kept back by {acting.by}: {reason}" if reason.startswith(MISSING_WORDS) else reason


def _started_at(session: Session, job: Job) -> object:
    return session.scalar(
        select(StateChange.at)
        .where(StateChange.job_id == job.id, StateChange.from_state == "waiting", StateChange.to_state == "on_machine")
        .order_by(StateChange.id.desc())
        .limit(1)
    )


def undo_hand_over(session: Session, event_id: int, hand_over_id: int, *, acting: Acting) -> HandOver:
    """Take back a hand-over: its racquets are strung and waiting for pickup again."""
    event, hand_over = lock_and_find(session, event_id, HandOver, hand_over_id, "hand-over")
    if hand_over.undone_at is not None:
        raise Conflict("This hand-over was taken back already.")
    jobs = session.scalars(select(Job).where(Job.hand_over_id == hand_over.id)).all()
    for job in jobs:
        record_change(session, job, "strung", acting=acting, note=UNDO_NOTE)
        job.hand_over_id = None
    hand_over.undone_at, hand_over.undone_by = acting.at, acting.by
    codes = ", ".join(job.code for job in jobs)
    log_change(session, event, acting, f"Hand-over of {codes} taken back", subject="pickup", plan=False)
    return hand_over
