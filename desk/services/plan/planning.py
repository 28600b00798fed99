"""Planning an event: read the records, think outside of any transaction, store the plan."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

import solver
from desk.models.database import Database
from desk.queries.plan.reasons import reasons
from desk.queries.plan.workloads import Moment, build_moment
from desk.services.acting import BY_ITSELF, Acting, lock_event
from desk.services.plan.plan_runs import store_plan
from desk.services.play import needed_by
from desk.services.promise import telling


@dataclass(frozen=True, kw_only=True)
class Effort:
    """How hard to think: seconds of a clock, or a number of steps that makes a plan repeatable.

    Whether also about a bound on the total of any plan, which no screen shows.
    """

    seconds: float = 1.0
    workers: int = 1
    steps: int | None = None
    seed: int = 0
    bound: bool = False


def read_moment(session: Session, event_id: int, at: datetime) -> Moment:
    """Bring needed-by times up to the moment AT and return the workload (call in a writing session)."""
    event = lock_event(session, event_id)
    needed_by.refresh_needed_by(session, event, at=at)
    session.flush()
    return build_moment(session, event, at)


def solve(moment: Moment, effort: Effort) -> tuple[solver.Plan, dict[str, str]]:
    """Return a plan for the moment and a reason for each job that is late, unplaced or breaks a promise."""
    plan = solver.make_plan(
        moment.workload,
        seconds=effort.seconds,
        seed=effort.seed,
        workers=effort.workers,
        previous=moment.previous,
        steps=effort.steps,
        bound=effort.bound,
        gaps=False,
    )
    return plan, {one.job: one.reason for one in reasons(moment, plan)}


def plan_event(database: Database, event_id: int, *, at: datetime, effort: Effort) -> solver.Plan:
    """Make and store a plan; no transaction is open while the solver thinks."""
    with database.writing() as session:
        moment = read_moment(session, event_id, at)
    plan, reasons = solve(moment, effort)
    with database.writing() as session:
        store_plan(session, event_id, moment, plan, reasons, at=at)
        event = lock_event(session, event_id)
        telling.tell_new_times(session, event, acting=Acting(by=BY_ITSELF, at=at))
    return plan
