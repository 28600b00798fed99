"""Jobs of the small desk brought to the bench and off it, through the services."""

from sqlalchemy.orm import Session

from desk.models import Job
from desk.services.bench import jobs
from desk.services.counter.drop_offs import take_drop_off
from tests import make
from tests.services.small_desk import ALL_CHECKED, SmallDesk

NOW = make.acting("Mon 10:00")
LATER = make.acting("Mon 10:25")


def dropped(session: Session, desk: SmallDesk, number: int = 0) -> Job:
    form = desk.form(desk.racquet_form(number), key=f"visit-{number}")
    return take_drop_off(session, desk.event.id, form, acting=NOW).jobs[0]


def started(session: Session, desk: SmallDesk, number: int = 0, bench: int = 0) -> Job:
    job = dropped(session, desk, number)
    return jobs.start_job(session, desk.event.id, job.id, acting=NOW, **desk.bench(bench))


def finished(session: Session, desk: SmallDesk, number: int = 0, **over: object) -> Job:
    job = started(session, desk, number)
    finish = jobs.Finish(**({"checks": ALL_CHECKED.checks} | over))
    return jobs.finish_job(session, desk.event.id, job.id, finish, acting=LATER)
