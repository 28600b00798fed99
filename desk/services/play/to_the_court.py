"""A racquet that need not be there when its match begins: it follows to the court during the match."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Job
from desk.services.acting import Acting, lock_event, note_change, write_log
from desk.services.bench.job_states import state_words
from desk.services.of_event import find_of
from solver.speak.one_each import TO_THE_COURT

WHY = "Follows to the court during the match."


def follow_to_the_court(session: Session, event_id: int, job_id: int, *, acting: Acting) -> Job:
    """Let a waiting racquet be needed so much later, as its player agreed."""
    event = lock_event(session, event_id)
    job = find_of(session, event, Job, job_id, "job")
    if job.state != "waiting" or job.needed_by_at is None:
        raise Conflict(f"Racquet {job.code} is {state_words(job)} or has no time; there is nothing to put off.")
    job.needed_by_kind, job.needed_by_why = "time", WHY
    job.needed_by_at = job.latest_at = job.needed_by_at + timedelta(minutes=TO_THE_COURT)
    write_log(session, event, acting, "jobs", f"{job.code} follows to the court during the match", job_id=job.id)
    note_change(event)
    return job
