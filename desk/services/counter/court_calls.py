"""A waiting racquet whose player is on court now: called for, it is planned like one from the court; and taken back."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Event, Job, Machine, Stringer
from desk.queries.bench.bench_times import house_minutes
from desk.queries.counter.counter import court_in_play
from desk.services.acting import Acting, lock_and_find, log_change
from desk.services.bench.job_states import state_words
from desk.services.bench.releasing import promise_quoted, quote_ready
from desk.services.plan.hand_moves import keep_place
from desk.services.play.needed_by import refresh_needed_by
from desk.services.promise.promises import renew_promise
from desk.trade.bench.promise import Told

PINS = (("pinned_stringer_id", Stringer), ("pinned_machine_id", Machine))
AFTER_ALL = "not for the court after all"


def call_to_court(session: Session, event_id: int, job_id: int, *, acting: Acting) -> Job:
    """Make a waiting racquet one from the court: wanted at once, at the first bench that comes free.

    Its bench and its place, where a hand chose them, count no more. It is promised anew.
    """
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    court_id = _court_of(session, event, job)
    if job.called_at is not None:
        return job
    _require_waiting(job)
    job.before_call = {
        "needed_by_at": job.needed_by_at and job.needed_by_at.isoformat(),
        "promised_at": job.promised_at and job.promised_at.isoformat(),
        "needed_by_why": job.needed_by_why,
        "matters": job.matters,
        "kept_place": job.kept_place,
        **{name: _code(session, table, getattr(job, name)) for name, table in PINS},
    }
    job.pinned_stringer_id = job.pinned_machine_id = None
    keep_place(session, event, job, None)
    job.on_court, job.called_at, job.court_id = True, acting.at, court_id
    _weigh(session, event, job, acting)
    quote = quote_ready(session, event, [job], acting=acting)[0]
    log_change(session, event, acting, f"{job.code} is on court now", subject="jobs", job_id=job.id)
    if quote.told is not None and not _holds(job.promised_at, quote.told):
        promise_quoted(session, event, job, quote, acting=acting)
    return job


def take_call_back(session: Session, event_id: int, job_id: int, *, acting: Acting) -> Job:
    """Let a racquet that was called for wait again as before, with the time told before where it is still to come."""
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    if job.called_at is None or job.before_call is None:
        return job
    _require_waiting(job)
    before: dict[str, Any] = job.before_call
    job.on_court, job.called_at, job.court_id, job.before_call = False, None, None, None
    for name, table in PINS:
        found = select(table.id).where(table.event_id == event.id, table.code == before[name])
        setattr(job, name, session.scalar(found))
    job.kept_place, job.matters = before["kept_place"], before["matters"]
    if job.needed_by_kind == "time":
        job.needed_by_at = job.latest_at = _moment(before["needed_by_at"])
        job.needed_by_why = before["needed_by_why"]
    _weigh(session, event, job, acting)
    log_change(session, event, acting, f"{job.code} is {AFTER_ALL}", subject="jobs", job_id=job.id)
    told = _moment(before["promised_at"])
    if told is not None and told > acting.at:
        renew_promise(session, event.id, job.id, acting=acting, ready_at=told, reason=AFTER_ALL)
    return job


def _code(session: Session, table: type[Stringer | Machine], key: int | None) -> str | None:
    """Return the code of who or what a hand chose: an event that is written and imported has other ids."""
    return session.scalar(select(table.code).where(table.id == key))


def _holds(promised_at: datetime | None, told: Told) -> bool:
    """Whether the time told before is sooner than the new one and as likely to hold as not."""
    return promised_at is not None and told.likely_at <= promised_at <= told.ready_at


def _court_of(session: Session, event: Event, job: Job) -> int:
    """Return the court on which the player is in play now."""
    court_id = court_in_play(session, event, job.player_id)
    if court_id is None:
        raise Conflict(
            f"{job.player.called} is not on court now by the order of play. Touch Started there first, or move "
            f"{job.code} forward under Plan."
        )
    return court_id


def _require_waiting(job: Job) -> None:
    if job.state != "waiting":
        raise Conflict(f"Racquet {job.code} is {state_words(job)}; only one that waits can be called for.")


def _weigh(session: Session, event: Event, job: Job, acting: Acting) -> None:
    """Work out anew by when it is needed and how long it takes."""
    job.house_minutes = house_minutes(session, event, job.card, job.racquet.frame, on_court=job.on_court)
    session.flush()
    refresh_needed_by(session, event, at=acting.at)


def _moment(kept: str | None) -> datetime | None:
    return None if kept is None else datetime.fromisoformat(kept)
