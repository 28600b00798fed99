"""The ready time told to a player, chosen so that nine in ten hold; earlier ones stay in the records.

The margin comes from the queue before the job (`desk.trade.bench.promise`) and a correction learned from
the event's own promises; what the player hears is rounded up to five minutes.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import OPEN_STATES, Assignment, Event, Job, Promise
from desk.queries.play.play_records import clock_of
from desk.queries.promise.promises_so_far import PromisesSoFar, promises_so_far
from desk.services.acting import Acting, lock_and_find, note_change, write_log
from desk.services.word.noting import note_new_time
from desk.trade.bench.promise import Told


def give_promise(session: Session, event: Event, job: Job, told: Told, *, acting: Acting, reason: str = "") -> Promise:
    """Store the ready time told to the player.

    A promise that was given before stays beside the new one; the same time again adds nothing.
    """
    if job.state not in OPEN_STATES:
        raise Conflict(f"Racquet {job.code} is not in the queue; there is nothing to promise.")
    if told.ready_at < acting.at:
        raise BadInput("The ready time has passed already; promise a later one.", fields={"ready_at": "has passed"})
    before = current_promise(job)
    if before is not None and before.ready_at == told.ready_at:
        return before
    promise = Promise(
        ready_at=told.ready_at,
        given_at=acting.at,
        by=acting.by,
        planned_end_at=told.planned_end_at,
        margin_minutes=told.margin_minutes,
        reason=reason.strip(),
    )
    job.promises.append(promise)
    session.flush()
    if before is not None:
        _log_change(session, event, job, before, promise, acting)
        note_new_time(session, job, before, promise)
    note_change(event)
    return promise


def renew_promise(
    session: Session,
    event_id: int,
    job_id: int,
    *,
    acting: Acting,
    ready_at: datetime | None = None,
    reason: str = "",
    so_far: PromisesSoFar | None = None,
) -> Promise:
    """Promise another ready time from the plan in force, or READY_AT, with the reason that the player hears.

    Whoever renews many at once reads what promises taught, SO_FAR, only once.
    """
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    row = session.scalar(
        select(Assignment).where(Assignment.run_id == event.current_run_id, Assignment.job_id == job.id)
    )
    if row is None and ready_at is None:
        raise Conflict(f"Racquet {job.code} has no place in the plan yet; give a time yourself, or plan first.")
    so_far = so_far or promises_so_far(session, event)
    told = so_far.tell(
        (ready_at or acting.at) if row is None else row.end_at,
        jobs_ahead=0 if row is None else _jobs_ahead(session, row, acting.at),
        minutes=job.house_minutes,
        needed_by_at=job.needed_by_at,
        on_court=job.on_court,
    )
    return give_promise(session, event, job, told.at(ready_at), acting=acting, reason=reason)


def current_promise(job: Job) -> Promise | None:
    """Return the newest promise of the job, the one that counts."""
    return job.promises[-1] if job.promises else None


def _jobs_ahead(session: Session, row: Assignment, at: datetime) -> int:
    return (
        session.scalar(
            select(func.count())
            .select_from(Assignment)
            .where(
                Assignment.run_id == row.run_id,
                Assignment.stringer_id == row.stringer_id,
                Assignment.end_at > at,
                Assignment.end_at <= row.start_at,
            )
        )
        or 0
    )


def _log_change(session: Session, event: Event, job: Job, before: Promise, after: Promise, acting: Acting) -> None:
    clock = clock_of(session, event)
    old, new = (clock.weekday_hhmm(promise.ready_at) for promise in (before, after))
    because = f": {after.reason}" if after.reason else ""
    text = f"{job.code} promised for {new} instead of {old}{because}"
    write_log(session, event, acting, "promises", text, job_id=job.id)
