"""A racquet strung again, with a ready time of its own at once."""

from __future__ import annotations

from sqlalchemy.orm import Session

from desk.models import Event, Job, JobCard
from desk.services.acting import Acting, lock_and_find, log_change
from desk.services.bench.job_states import change_state
from desk.services.bench.jobs import next_serial, require_reason
from desk.services.bench.releasing import promise_quoted, quote_ready
from desk.trade.bench.tag_code import make_code


def string_again(session: Session, event_id: int, job_id: int, reason: str, *, acting: Acting) -> Job:
    """Have a strung racquet strung again and promise the new job a time, as at the counter.

    The quote is made before the new job waits, so that it does not stand behind itself.
    """
    event, first = lock_and_find(session, event_id, Job, job_id, "job")
    (quote,) = quote_ready(session, event, [first], acting=acting)
    again = redo_job(session, event_id, job_id, reason, acting=acting)
    promise_quoted(session, event, again, quote, acting=acting)
    return again


def redo_job(session: Session, event_id: int, job_id: int, reason: str, *, acting: Acting) -> Job:
    """Have a strung racquet strung again: the first job is kept, the new one costs nothing."""
    event, first = lock_and_find(session, event_id, Job, job_id, "job")
    require_reason(reason)
    change_state(session, first, "redo", acting=acting, note=reason)
    again = _copy_for_redo(session, event, first, acting)
    text = f"{first.code} is strung again as {again.code}: {reason.strip()}"
    log_change(session, event, acting, text, subject="jobs", job_id=again.id)
    return again


def _copy_for_redo(session: Session, event: Event, first: Job, acting: Acting) -> Job:
    serial = next_serial(session, event)
    kept = ("drop_off_id", "player_id", "racquet_id", "frame_check", "on_court", "court_id", "needed_by_kind")
    kept += ("needed_by_at", "latest_at", "needed_by_why", "match_id", "weight", "house_minutes", "not_before_at")
    again = Job(
        event_id=event.id,
        serial=serial,
        code=make_code(serial),
        redo_of_id=first.id,
        dropped_at=acting.at,
        **{name: getattr(first, name) for name in kept},
    )
    skipped = {"id", "job_id"}
    columns = [c.key for c in JobCard.__table__.columns if c.key not in skipped]
    again.card = JobCard(**{name: getattr(first.card, name) for name in columns})
    session.add(again)
    session.flush()
    return again
