"""Moving a racquet by hand: judged first, then kept as a pin that every later plan obeys."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy.orm import Session

import solver
from desk.errors import Conflict
from desk.models import Event, Job, Machine, Stringer
from desk.queries.plan.plan_changes import Comparison, compare, plan_in_force
from desk.queries.plan.who_may import is_gut, why_not
from desk.queries.plan.workloads import Moment, build_moment
from desk.services.acting import Acting, find, find_of, lock_and_find, log_change
from desk.services.bench.job_states import state_words
from solver.contract import workload as work

SECONDS = 0.6

FAULT_WORDS = {
    "not_before_ready": "The racquet is not there yet at that time.",
    "within_stringer_hours": "{stringer} is not at work then.",
    "within_machine_hours": "{machine} is not in service then.",
    "goes_where_it_may": "The racquet may not go there.",
    "one_racquet_a_stringer": "{stringer} has another racquet then; the plan moves it.",
    "one_racquet_a_machine": "{machine} holds another racquet then; the plan moves it.",
}


@dataclass(frozen=True, kw_only=True)
class Judgement:
    """A move before it is kept: what stands against it at that minute, and what the plan becomes with it.

    `end_at` is when the racquet would be ready; None when it finds no place there.
    """

    stringer: str
    machine: str
    faults: tuple[str, ...]
    end_at: datetime | None
    comparison: Comparison


def judge_move(
    session: Session,
    event_id: int,
    job_id: int,
    *,
    stringer_id: int,
    machine_id: int | None,
    at: datetime,
    start_at: datetime | None = None,
) -> Judgement:
    """Return what giving a waiting racquet to a stringer (and a machine) would do; nothing is kept."""
    event = find(session, Event, event_id, "event")
    job = find_of(session, event, Job, job_id, "job")
    _require_waiting(job)
    stringer = find_of(session, event, Stringer, stringer_id, "stringer")
    _require_may(stringer, job)
    machine = None if machine_id is None else find_of(session, event, Machine, machine_id, "machine")
    moment = build_moment(session, event, at)
    name = job.plan_name
    workload = _pinned(moment.workload, name, stringer.code, None if machine is None else machine.code)
    before = plan_in_force(moment)
    after = solver.make_plan(workload, seconds=SECONDS, previous=moment.previous, workers=1, bound=False)
    place = after.by_job().get(name)
    bench = machine.name if machine is not None else moment.keys.spoken.get(place.machine if place else "", "")
    return Judgement(
        stringer=stringer.name,
        machine=bench,
        faults=_faults(moment, workload, before, name, start_at, stringer, bench),
        end_at=None if place is None else moment.clock.to_utc(place.end),
        comparison=compare(moment, before, workload, after, own=name),
    )


def _require_may(stringer: Stringer, job: Job) -> None:
    reason = why_not(stringer, gut=is_gut(job), on_court=job.on_court)
    if reason:
        raise Conflict(f"{reason} Choose somebody else, or change it under Team.")


def _require_waiting(job: Job) -> None:
    if job.state != "waiting":
        raise Conflict(f"Racquet {job.code} is {state_words(job)}; only a waiting one can be moved.")


def _pinned(workload: solver.Workload, name: str, stringer: str | None, machine: str | None) -> solver.Workload:
    jobs = tuple(
        replace(job, pinned_stringer=stringer, pinned_machine=machine) if job.id == name else job
        for job in workload.jobs
    )
    return replace(workload, jobs=jobs)


def _faults(
    moment: Moment,
    workload: solver.Workload,
    before: solver.Plan,
    name: str,
    start_at: datetime | None,
    stringer: Stringer,
    bench: str,
) -> tuple[str, ...]:
    """Return what breaks a rule if the racquet starts at just that minute and all else stays."""
    if start_at is None:
        return ()
    job = workload.job_by_id[name]
    person = workload.stringer_by_id[stringer.code]
    machine = job.pinned_machine or person.home or next(iter(workload.machine_by_id), "")
    start = moment.clock.to_minutes(start_at)
    place = solver.Assignment(
        job=name, stringer=person.id, machine=machine, start=start, end=start + work.bench_minutes(job, person)
    )
    others = tuple(a for a in before.assignments if a.job != name)
    left_out = tuple(one for one in before.unplaced if one != name)
    literal = replace(before, assignments=(*others, place), unplaced=left_out)
    found = [fault for fault in solver.check_plan(workload, literal) if name in fault.jobs]
    words = (FAULT_WORDS.get(fault.rule, fault.message) for fault in found)
    said = (text.format(stringer=stringer.name, machine=bench or "The machine") for text in words)
    return tuple(dict.fromkeys(said))


def pin_job(
    session: Session, event_id: int, job_id: int, *, stringer_id: int, machine_id: int | None, acting: Acting
) -> Job:
    """Keep a move: every later plan gives the racquet to this stringer (and machine)."""
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    _require_waiting(job)
    stringer = find_of(session, event, Stringer, stringer_id, "stringer")
    _require_may(stringer, job)
    machine = None if machine_id is None else find_of(session, event, Machine, machine_id, "machine")
    where = "" if machine is None else f" at {machine.name}"
    job.pinned_stringer_id, job.pinned_machine_id = stringer.id, machine_id
    log_change(session, event, acting, f"{job.code} pinned to {stringer.name}{where}", subject="plan", job_id=job.id)
    return job


def unpin_job(session: Session, event_id: int, job_id: int, *, acting: Acting) -> Job:
    """Leave a pinned racquet to the plan again."""
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    if job.pinned_stringer_id is None and job.pinned_machine_id is None:
        raise Conflict(f"Racquet {job.code} is not pinned.")
    job.pinned_stringer_id = job.pinned_machine_id = None
    log_change(session, event, acting, f"{job.code} is free to go anywhere again", subject="plan", job_id=job.id)
    return job
