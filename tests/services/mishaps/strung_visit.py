"""Racquets of one visit, strung and ready for whatever goes wrong."""

from sqlalchemy.orm import Session

from desk.models import Job
from desk.services.acting import Acting
from desk.services.bench.jobs import BENCH_CHECKS, Finish, finish_job, start_job
from desk.services.counter.drop_offs import take_drop_off
from tests import make
from tests.services.small_desk import SmallDesk


def acting(time: str) -> Acting:
    return Acting(by="desk", at=make.moment(f"Mon {time}"))


def strung(session: Session, desk: SmallDesk, count: int, *, key: str = "once") -> list[Job]:
    """Racquets of one visit, strung one after the other from the desk's reel."""
    form = desk.bag(count, key=key)
    jobs = list(take_drop_off(session, desk.event.id, form, acting=acting("09:00")).jobs)
    for number, job in enumerate(jobs):
        start_job(session, desk.event.id, job.id, **desk.bench(), acting=acting(f"{10 + number}:00"))
        finish_job(session, desk.event.id, job.id, Finish(checks=BENCH_CHECKS), acting=acting(f"{10 + number}:20"))
    return jobs
