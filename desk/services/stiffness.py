"""The stiffness of a strung bed, read after the machine."""

from __future__ import annotations

from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Job
from desk.services.acting import Acting, lock_event, note_change, write_log
from desk.services.bench.job_states import state_words
from desk.services.of_event import find_of

MOST = 200.0
READ_IN = ("on_machine", "strung")


def record_stiffness(session: Session, event_id: int, job_id: int, stiffness: float | None, *, acting: Acting) -> Job:
    """Keep a racquet's stiffness, in the units of the desk's own meter; None takes a wrong reading away.

    Raises
    ------
    BadInput
        When the reading cannot be.
    Conflict
        When the racquet has no fresh bed, or has left.
    """
    event = lock_event(session, event_id)
    job = find_of(session, event, Job, job_id, "job")
    if stiffness is not None and not 0 < stiffness <= MOST:
        raise BadInput(
            f"A stiffness of {stiffness:g} cannot be; measure again.",
            fields={"stiffness": f"give the meter's reading, above 0 and up to {MOST:g}"},
        )
    if job.state not in READ_IN:
        raise Conflict(f"Racquet {job.code} is {state_words(job)}; stiffness is read of one that is strung and here.")
    job.stiffness = stiffness
    session.flush()
    text = f"{job.code}: stiffness taken away" if stiffness is None else f"{job.code}: stiffness {stiffness:g}"
    write_log(session, event, acting, "jobs", text, job_id=job.id)
    note_change(event, plan=False)
    return job
