"""Moving a racquet by hand: judged first, then kept as a pin and a place that every later plan obeys."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

import solver
from desk.errors import Conflict
from desk.models import Event, Job, Machine, Stringer
from desk.queries.finding import find, find_of
from desk.queries.plan.kept_order import bench_order, names_after, waiting_of
from desk.queries.plan.plan_changes import Comparison, compare, plan_in_force
from desk.queries.plan.reasons import reason_of
from desk.queries.plan.who_may import is_gut, why_not
from desk.queries.plan.workloads import Moment, build_moment
from desk.services.acting import Acting, lock_and_find, log_change
from desk.services.bench.job_states import state_words
from desk.trade.bench.kept_places import KeptPlace, place_in, with_place
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
class HandMove:
    """Where a hand puts a racquet: with a stringer, at a machine or None for any, right after another racquet.

    `after_id` 0 is before all that wait there; None leaves the place to the plan.
    """

    stringer_id: int
    machine_id: int | None = None
    after_id: int | None = None


@dataclass(frozen=True, kw_only=True)
class Judgement:
    """A move before it is kept: what stands against it at that minute, and what the plan becomes with it.

    `end_at` is when the racquet would be ready; None when it finds no place there. `why` says what makes it late
    there, or puts it off; nothing where it is in time. Its turns at its bench, from 1, are those before and after the
    move; None where it has none.
    """

    stringer: str
    machine: str
    faults: tuple[str, ...]
    end_at: datetime | None
    turn_before: int | None
    turn_after: int | None
    comparison: Comparison
    why: str = ""


def judge_move(
    session: Session,
    event_id: int,
    job_id: int,
    move: HandMove,
    *,
    at: datetime,
    start_at: datetime | None = None,
) -> Judgement:
    """Return what a move of a waiting racquet would do, also if it began at START_AT; nothing is kept."""
    event = find(session, Event, event_id, "event")
    job = find_of(session, event, Job, job_id, "job")
    stringer, machine, kept = _allowed(session, event, job, move)
    moment = build_moment(session, event, at)
    name = job.plan_name
    pinned = _pinned(moment.workload, name, stringer.code, None if machine is None else machine.code)
    moved = with_place(waiting_of(_waiting(session, event)), job.serial, stringer_id=stringer.id, place=kept)
    workload = _in_turn(pinned, names_after(moved))
    before = plan_in_force(moment)
    after = solver.make_plan(workload, seconds=SECONDS, previous=moment.previous, workers=1, bound=False, gaps=False)
    place = after.by_job().get(name)
    bench = machine.name if machine is not None else moment.keys.spoken.get(place.machine if place else "", "")
    return Judgement(
        stringer=stringer.name,
        machine=bench,
        faults=_faults(moment, workload, before, name, start_at, stringer, bench),
        end_at=None if place is None else moment.clock.to_utc(place.end),
        turn_before=_turn(moment.workload, before, name),
        turn_after=_turn(workload, after, name),
        comparison=compare(moment, before, workload, after, own=name),
        why=reason_of(replace(moment, workload=workload), after, name),
    )


def _allowed(
    session: Session, event: Event, job: Job, move: HandMove
) -> tuple[Stringer, Machine | None, KeptPlace | None]:
    """Return the stringer, the machine and the place of a move; what may not be moved there is refused."""
    if job.state != "waiting":
        raise Conflict(f"Racquet {job.code} is {state_words(job)}; only a waiting one can be moved.")
    stringer = find_of(session, event, Stringer, move.stringer_id, "stringer")
    reason = why_not(stringer, gut=is_gut(job), on_court=job.on_court)
    if reason:
        raise Conflict(f"{reason} Choose somebody else, or change it under Team.")
    machine = None if move.machine_id is None else find_of(session, event, Machine, move.machine_id, "machine")
    return stringer, machine, _place(session, event, job, stringer, move.after_id)


def _pinned(workload: solver.Workload, name: str, stringer: str | None, machine: str | None) -> solver.Workload:
    jobs = tuple(
        replace(job, pinned_stringer=stringer, pinned_machine=machine) if job.id == name else job
        for job in workload.jobs
    )
    return replace(workload, jobs=jobs)


def _in_turn(workload: solver.Workload, after: Mapping[str, tuple[str, ...]]) -> solver.Workload:
    return replace(workload, jobs=tuple(replace(job, after=after.get(job.id, ())) for job in workload.jobs))


def _turn(workload: solver.Workload, plan: solver.Plan, name: str) -> int | None:
    """Return the racquet's turn among those that wait for its stringer in a plan."""
    place = plan.by_job().get(name)
    if place is None:
        return None
    here = (a for a in plan.assignments if a.stringer == place.stringer and a.start <= place.start)
    return sum(workload.job_by_id[a.job].started is None for a in here)


def _waiting(session: Session, event: Event) -> list[Job]:
    found = select(Job).where(Job.event_id == event.id, Job.state == "waiting").order_by(Job.serial)
    return list(session.scalars(found))


def _place(session: Session, event: Event, job: Job, stringer: Stringer, after_id: int | None) -> KeptPlace | None:
    """Return the place right after a racquet of the stringer's bench, before all for 0, None where none is asked."""
    if after_id is None:
        return None
    order = {one.job_id: one.serial for one in bench_order(session, event, stringer.id) if one.job_id != job.id}
    if after_id and after_id not in order:
        raise Conflict(
            f"The racquet that it was to come after does not wait for {stringer.name} any more. Choose the place anew."
        )
    return place_in(list(order.values()), order[after_id] if after_id else None)


def keep_place(session: Session, event: Event, job: Job, place: KeptPlace | None) -> None:
    """Keep a racquet's new place, or none, here and with the racquets whose places hang on it."""
    jobs = {one.serial: one for one in _waiting(session, event)}
    moved = with_place(waiting_of(jobs.values()), job.serial, stringer_id=job.pinned_stringer_id, place=place)
    for one in moved:
        jobs[one.serial].kept_place = None if one.place is None else one.place.to_keep()


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


def pin_job(session: Session, event_id: int, job_id: int, move: HandMove, *, acting: Acting) -> Job:
    """Keep a move: every later plan gives the racquet to this stringer (and machine), at this place of the order."""
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    stringer, machine, place = _allowed(session, event, job, move)
    where = "" if machine is None else f" at {machine.name}"
    job.pinned_stringer_id, job.pinned_machine_id = stringer.id, move.machine_id
    keep_place(session, event, job, place)
    where += _said(session, event, job, stringer, place)
    log_change(session, event, acting, f"{job.code} pinned to {stringer.name}{where}", subject="plan", job_id=job.id)
    return job


def _said(session: Session, event: Event, job: Job, stringer: Stringer, place: KeptPlace | None) -> str:
    if place is None:
        return ""
    ahead = [one for one in bench_order(session, event, stringer.id) if one.serial in place.ahead]
    return f", after {ahead[-1].code}" if ahead else ", next"


def unpin_jobs(session: Session, event_id: int, job_ids: Sequence[int], *, acting: Acting) -> None:
    """Leave pinned racquets to the plan again, all of them or none."""
    for job_id in job_ids:
        unpin_job(session, event_id, job_id, acting=acting)


def unpin_job(session: Session, event_id: int, job_id: int, *, acting: Acting) -> Job:
    """Leave a pinned racquet to the plan again."""
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    if job.pinned_stringer_id is None and job.pinned_machine_id is None:
        raise Conflict(f"Racquet {job.code} is not pinned.")
    job.pinned_stringer_id = job.pinned_machine_id = None
    keep_place(session, event, job, None)
    log_change(session, event, acting, f"{job.code} is free to go anywhere again", subject="plan", job_id=job.id)
    return job
