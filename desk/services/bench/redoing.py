"""A racquet strung again, with a ready time of its own at once."""

from __future__ import annotations

from sqlalchemy.orm import Session

from desk.models import Job
from desk.services.acting import Acting, lock_event
from desk.services.bench import jobs
from desk.services.bench.releasing import promise_quoted, quote_ready
from desk.services.of_event import find_of


def string_again(session: Session, event_id: int, job_id: int, reason: str, *, acting: Acting) -> Job:
    """Have a strung racquet strung again and promise the new job a time, as at the counter.

    The quote is made before the new job waits, so that it does not stand behind itself.

    Raises
    ------
    BadInput
        Without a reason.
    Conflict
        When the racquet is not strung.
    """
    event = lock_event(session, event_id)
    first = find_of(session, event, Job, job_id, "job")
    (quote,) = quote_ready(session, event, [first], acting=acting)
    again = jobs.redo_job(session, event_id, job_id, reason, acting=acting)
    promise_quoted(session, event, again, quote, acting=acting)
    return again
