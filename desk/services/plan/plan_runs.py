"""Plans in the records: storing a plan, the plan in force."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta

from sqlalchemy import delete, insert, select, update
from sqlalchemy.orm import Session

import solver
from desk.models import QUICK, Assignment, Event, Job, PlanRun
from desk.queries.plan.expected_ends import moved_on
from desk.queries.plan.workloads import Moment
from desk.services.acting import BY_ITSELF, Acting, lock_event
from desk.services.plan.own_benches import keep_own_benches

KEPT_RUNS = 20


def store_plan(
    session: Session, event_id: int, moment: Moment, plan: solver.Plan, reasons: Mapping[str, str], *, at: datetime
) -> PlanRun:
    """Put a plan in force; jobs that were started or taken away meanwhile keep what the records say."""
    event = lock_event(session, event_id)
    before, was_quick = _places(session, event), _is_quick(session, event)
    run = PlanRun(
        event_id=event.id,
        made_at=at,
        change_number=moment.change_number,
        status=QUICK if plan.is_quick else plan.status,
        total=plan.total,
        bound=plan.bound,
        seconds=plan.seconds,
        costs=dict(plan.costs),
        unplaced=list(plan.unplaced),
        reasons=dict(reasons),
    )
    session.add(run)
    session.flush()
    after = _store_assignments(session, event, run, moment, plan)
    old_reasons = _reasons(session, event)
    event.current_run_id = run.id
    event.planned_change_number = moment.change_number
    session.flush()
    # What quick rules give a stringer while the search gets ready says nothing of whose the player is.
    kept = 0 if plan.is_quick else keep_own_benches(session, event, acting=Acting(by=BY_ITSELF, at=at))
    if after != before or old_reasons != run.reasons or was_quick != plan.is_quick or kept:
        event.revision += 1
    _keep_reasons(session, moment, reasons)
    _prune(session, event)
    return run


Place = tuple[int, int, datetime, datetime]


def _places(session: Session, event: Event) -> dict[int, Place]:
    if event.current_run_id is None:
        return {}
    columns = (Assignment.job_id, Assignment.stringer_id, Assignment.machine_id, Assignment.start_at, Assignment.end_at)
    found = session.execute(select(*columns).where(Assignment.run_id == event.current_run_id))
    return {job_id: (stringer_id, machine_id, start, end) for job_id, stringer_id, machine_id, start, end in found}


def _is_quick(session: Session, event: Event) -> bool:
    run = None if event.current_run_id is None else session.get(PlanRun, event.current_run_id)
    return run is not None and run.status == QUICK


def _reasons(session: Session, event: Event) -> dict[str, str]:
    run = None if event.current_run_id is None else session.get(PlanRun, event.current_run_id)
    return {} if run is None else run.reasons


def _keep_reasons(session: Session, moment: Moment, reasons: Mapping[str, str]) -> None:
    """Keep with each job the reason from when it first became late; forget it when all is well again."""
    ids = list(moment.keys.jobs.values())
    known = dict(session.execute(select(Job.id, Job.late_why).where(Job.id.in_(ids))).all())
    now = {moment.keys.jobs[name]: reason for name, reason in reasons.items()}
    rows = [
        {"id": job_id, "late_why": now.get(job_id, "")} for job_id, why in known.items() if bool(why) != (job_id in now)
    ]
    if rows:
        session.execute(update(Job), rows)


def _store_assignments(
    session: Session, event: Event, run: PlanRun, moment: Moment, plan: solver.Plan
) -> dict[int, Place]:
    found = session.execute(select(Job.id, Job.state).where(Job.event_id == event.id, Job.state.in_(_PLANNED)))
    states = dict(found.all())
    places: dict[int, Place] = {}
    for a in plan.assignments:
        job_id = moment.keys.jobs[a.job]
        was_started = moment.workload.job_by_id[a.job].started is not None
        if job_id not in states or (states[job_id] == "on_machine") != was_started:
            continue
        places[job_id] = (
            moment.keys.stringers[a.stringer],
            moment.keys.machines[a.machine],
            moment.clock.to_utc(a.start),
            moment.clock.to_utc(a.end),
        )
    rows = [
        {"run_id": run.id, "job_id": job_id, "stringer_id": s, "machine_id": m, "start_at": start, "end_at": end}
        for job_id, (s, m, start, end) in places.items()
    ]
    if rows:
        session.execute(insert(Assignment), rows)
    return places


_PLANNED = ("waiting", "on_machine")


def _prune(session: Session, event: Event) -> None:
    newest = select(PlanRun.id).where(PlanRun.event_id == event.id).order_by(PlanRun.id.desc()).offset(KEPT_RUNS)
    old = session.scalars(newest.limit(50)).all()
    if old:
        session.execute(delete(Assignment).where(Assignment.run_id.in_(old)))


def needs_plan(session: Session, event: Event, at: datetime) -> bool:
    """Tell whether the plan in force is older than the records, or reality left it behind.

    So is a plan of the quick rules once the search is ready.
    Left behind: a planned start passed by two minutes without a start, a racquet stays on the
    machine beyond the end that the plan counts with, or somebody was expected back and nobody said so.
    """
    if event.change_number != event.planned_change_number:
        return True
    if event.current_run_id is None:
        return False
    if solver.is_warm() and _is_quick(session, event):
        return True
    late = at - timedelta(minutes=2)
    drifted = (
        select(Assignment.id)
        .join(Job, Job.id == Assignment.job_id)
        .where(
            Assignment.run_id == event.current_run_id,
            ((Job.state == "waiting") & (Assignment.start_at < late))
            | ((Job.state == "on_machine") & (Assignment.end_at < at)),
        )
        .limit(1)
    )
    if session.scalar(drifted) is not None:
        return True
    made_at, passed_at = session.get_one(PlanRun, event.current_run_id).made_at, moved_on(session, event, at)
    return passed_at is not None and made_at < passed_at
