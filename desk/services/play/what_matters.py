"""Which of a player's racquets matters for a match, and which can follow to the court: said, and taken back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import update
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import OPEN_STATES, Event, Job
from desk.queries.finding import find_of
from desk.queries.play.next_match import AFTER_THE_START
from desk.services.acting import Acting, lock_event, log_change
from desk.services.bench.job_states import state_words
from desk.services.play.needed_by import refresh_needed_by
from desk.services.promise.promises import current_promise, renew_promise
from desk.trade.bench.promise import STEP
from desk.trade.play.needed_by import FIRST, LATER

FOLLOWS = "follows to the court during the match"
FOR_THE_START = "needed for the start after all"


def matters_most(session: Session, event_id: int, job_id: int, *, acting: Acting) -> Job:
    """Note that of a player's racquets for one time this one matters most; no other one does any more."""
    event = lock_event(session, event_id)
    job = _open(session, event, job_id)
    _take_back(session, event, job, acting)
    job.matters = FIRST
    no_other_matters_most(session, event, job)
    return _done(session, event, job, acting, "matters most of its player's")


def no_other_matters_most(session: Session, event: Event, job: Job) -> None:
    """Take from the player's other racquets for the same time that one of them matters most."""
    others = (Job.player_id == job.player_id, Job.match_id == job.match_id, Job.matters == FIRST, Job.id != job.id)
    session.execute(update(Job).where(Job.event_id == event.id, *others).values(matters=""))


def follow_to_the_court(session: Session, event_id: int, job_ids: Sequence[int], *, acting: Acting) -> list[Job]:
    """Let racquets be wanted during the match instead of for its start, as their players agreed.

    A promise that was given moves with it.
    """
    event = lock_event(session, event_id)
    jobs = [_open(session, event, job_id) for job_id in job_ids]
    for job in jobs:
        if job.matters != LATER:
            _put_off(session, event, job, acting)
    return jobs


def take_back(session: Session, event_id: int, job_ids: Sequence[int], *, acting: Acting) -> list[Job]:
    """Take back what was said of these racquets; each is needed for the start again, in its turn."""
    event = lock_event(session, event_id)
    jobs = [find_of(session, event, Job, job_id, "job") for job_id in job_ids]
    for job in jobs:
        if job.matters and job.state in OPEN_STATES:
            _take_back(session, event, job, acting)
            _done(session, event, job, acting, "is needed like any other again")
    return jobs


def _open(session: Session, event: Event, job_id: int) -> Job:
    job = find_of(session, event, Job, job_id, "job")
    if job.state not in ("waiting", "held"):
        raise Conflict(f"Racquet {job.code} is {state_words(job)}; nothing of this can be said of it any more.")
    if job.on_court or job.needed_by_at is None:
        why = "comes from the court and is wanted at once" if job.on_court else "has no time by which it is needed"
        raise Conflict(f"Racquet {job.code} {why}; there is nothing to put before or after it.")
    return job


def _put_off(session: Session, event: Event, job: Job, acting: Acting) -> None:
    _take_back(session, event, job, acting)
    job.matters = LATER
    _shift(job, 1)
    _done(session, event, job, acting, FOLLOWS)
    told, needed_at = current_promise(job), job.needed_by_at
    if told is not None and needed_at is not None and told.ready_at < needed_at:
        _promise(session, event, job, needed_at, FOLLOWS, acting)


def _take_back(session: Session, event: Event, job: Job, acting: Acting) -> None:
    if job.matters == LATER:
        _shift(job, -1)
        told = job.promises[-1] if len(job.promises) > 1 else None
        if told is not None and told.reason == FOLLOWS:
            _promise(session, event, job, job.promises[-2].ready_at, FOR_THE_START, acting)
    job.matters = ""


def _shift(job: Job, times: int) -> None:
    """Move a time that the desk fixed; one that follows a match is worked out anew."""
    if job.needed_by_kind == "time" and job.needed_by_at is not None:
        job.needed_by_at = job.latest_at = job.needed_by_at + times * AFTER_THE_START


def _promise(session: Session, event: Event, job: Job, at: datetime, reason: str, acting: Acting) -> None:
    # Every time zone in use is a multiple of five minutes from UTC.
    whole = at.replace(minute=at.minute - at.minute % 5, second=0, microsecond=0)
    if (ready_at := whole if whole == at else whole + STEP) > acting.at:
        renew_promise(session, event.id, job.id, acting=acting, ready_at=ready_at, reason=reason)


def _done(session: Session, event: Event, job: Job, acting: Acting, said: str) -> Job:
    session.flush()
    refresh_needed_by(session, event, at=acting.at)
    log_change(session, event, acting, f"{job.code} {said}", subject="jobs", job_id=job.id)
    return job
