"""A clock that is set back by an hour between two touches, and a racquet strung at either of them."""

from sqlalchemy.orm import Session

from desk.models import Job
from desk.services.acting import Acting
from desk.services.bench import jobs
from tests import make
from tests.services.small_desk import ALL_CHECKED, SmallDesk

BEFORE = make.acting("Mon 12:00")
AFTER = make.acting("Mon 11:10")
"""Ten minutes later, and the clock was set back by an hour in between."""


def string(session: Session, desk: SmallDesk, job: Job, began: Acting, ended: Acting | None = None) -> None:
    """Start JOB at the first bench and finish it, at the same touch unless ENDED is another."""
    jobs.start_job(session, desk.event.id, job.id, acting=began, **desk.bench())
    jobs.finish_job(session, desk.event.id, job.id, ALL_CHECKED, acting=ended or began)
