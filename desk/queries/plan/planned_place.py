"""Where and when the plan in force has one racquet strung, and what it says of one that is late or left out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Assignment, Event, Job, Machine, PlanRun, Stringer
from desk.trade.bench.kept_places import plan_name


@dataclass(frozen=True, kw_only=True)
class PlannedPlace:
    """A racquet's place in the plan."""

    stringer_id: int
    stringer: str
    machine: str
    start_at: datetime
    end_at: datetime


def planned_place(session: Session, event: Event, job_id: int) -> PlannedPlace | None:
    """Return the place of a job in the plan in force, None where it has none."""
    found = (
        select(Assignment.stringer_id, Stringer.name.label("stringer"), Machine.name.label("machine"))
        .add_columns(Assignment.start_at, Assignment.end_at)
        .join(Stringer, Stringer.id == Assignment.stringer_id)
        .join(Machine, Machine.id == Assignment.machine_id)
        .where(Assignment.run_id == (event.current_run_id or 0), Assignment.job_id == job_id)
    )
    row = session.execute(found).first()
    return None if row is None else PlannedPlace(**row._mapping)


def reason_now(session: Session, event: Event, job: Job) -> str:
    """Return what the plan in force says of a racquet that waits; of one begun or strung, why it was first late."""
    if job.state == "held":
        return ""
    if job.state != "waiting":
        return job.late_why
    run = session.get(PlanRun, event.current_run_id or 0)
    return "" if run is None else run.reasons.get(job.plan_name, "")


def planned_ends(session: Session, event: Event) -> dict[int, datetime]:
    """Return when each racquet of the plan in force is strung, by job."""
    found = select(Assignment.job_id, Assignment.end_at).where(Assignment.run_id == (event.current_run_id or 0))
    return dict(session.execute(found).all())


def unplaced(session: Session, event: Event) -> dict[int, str]:
    """Return why a waiting racquet has no place in the plan in force, by job; what came after it is being planned."""
    in_force = (Assignment.job_id == Job.id) & (Assignment.run_id == (event.current_run_id or 0))
    waiting = select(Job.id, Job.serial).outerjoin(Assignment, in_force)
    waiting = waiting.where(Job.event_id == event.id, Job.state == "waiting", Assignment.id.is_(None))
    found = session.execute(waiting).all()
    if not found:
        return {}
    reasons = session.scalar(select(PlanRun.reasons).where(PlanRun.id == event.current_run_id)) or {}
    return {job_id: reasons[name] for job_id, serial in found if (name := plan_name(serial)) in reasons}
