"""An event with racquets to plan, and the places that its plan in force gives them."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Assignment, Event, Machine, Stringer
from desk.models.database import Database
from desk.services.bench import jobs
from desk.services.counter.drop_offs import take_drop_off
from desk.services.plan.planning import Effort
from tests import make
from tests.services.small_desk import small_desk

NOW = make.acting("Mon 10:00")
QUICK = Effort(seconds=0.2)


def filled(database: Database, racquets: int = 3) -> tuple[int, list[int]]:
    """Return an event with that many racquets of one player, and their jobs' ids."""
    with database.writing() as session:
        desk = small_desk(session)
        visit = take_drop_off(session, desk.event.id, desk.bag(racquets), acting=NOW)
        return desk.event.id, [job.id for job in visit.jobs]


def places(database: Database, event_id: int) -> dict[int, Assignment]:
    with database.reading() as session:
        event = session.get_one(Event, event_id)
        rows = session.scalars(select(Assignment).where(Assignment.run_id == event.current_run_id))
        return {row.job_id: row for row in rows}


def first_bench(session: Session, event_id: int) -> dict[str, int]:
    """Say who strings and where at the first bench."""
    stringer = session.scalars(select(Stringer.id).where(Stringer.event_id == event_id)).first()
    machine = session.scalars(select(Machine.id).where(Machine.event_id == event_id)).first()
    return {"stringer_id": stringer, "machine_id": machine}


def begin(session: Session, event_id: int, job_id: int) -> None:
    """Start a job at the first bench, now."""
    jobs.start_job(session, event_id, job_id, acting=NOW, **first_bench(session, event_id))
