"""What becomes of a racquet whose stringer fell away or whose machine died: handed on, cut out, or held."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Event, Job, Machine, Mishap, StateChange, Stringer
from desk.queries.finding import find_of
from desk.queries.machines.machines import current_outage
from desk.queries.plan.who_may import is_gut, why_not
from desk.queries.team.team import absence_at
from desk.services.acting import Acting, lock_and_find, lock_event, log_change
from desk.services.bench.job_states import UNDO_NOTE, change_state, state_words
from desk.trade import mishaps
from desk.trade.bench.pace import stringer_minutes

CUT_OUT = "cut out, to be strung anew"


def hand_on(session: Session, event_id: int, job_id: int, stringer_id: int, *, acting: Acting) -> Job:
    """Let another stringer finish a racquet on the machine where it was begun, also one that was held half-strung.

    Nothing is known of how far it was: it is expected to take as long again as it would from the start, at most.
    Refused when the other is away, busy or may not string it, or when the machine is out or holds another racquet.
    """
    event = lock_event(session, event_id)
    job = _begun(session, event_id, job_id)
    stringer = find_of(session, event, Stringer, stringer_id, "stringer")
    _require_free(session, event, job, stringer, acting)
    reason = why_not(stringer, gut=is_gut(job), on_court=job.on_court)
    if reason:
        raise Conflict(f"{reason} Choose somebody else.")
    change_state(session, job, "on_machine", acting=acting, note=_from_hand_to_hand(session, job, stringer))
    job.stringer_id, job.held_reason = stringer.id, ""
    minutes = stringer_minutes(job.house_minutes, stringer.pace_override or stringer.pace)
    begun = 0 if job.started_at is None else (acting.at - job.started_at) // timedelta(minutes=1)
    job.expected_end_at = acting.at + timedelta(minutes=max(minutes - begun, minutes // 2))
    log_change(session, event, acting, f"{stringer.name} finishes {job.code}", subject="jobs", job_id=job.id)
    return job


def _require_free(session: Session, event: Event, job: Job, stringer: Stringer, acting: Acting) -> None:
    running = select(Job.code).where(Job.event_id == event.id, Job.state == "on_machine", Job.id != job.id)
    busy = session.scalar(running.where(Job.stringer_id == stringer.id))
    if busy is not None:
        raise Conflict(f"{stringer.name} has {busy} on the machine; choose somebody who is free.")
    if absence_at(stringer, acting.at) is not None:
        raise Conflict(f"{stringer.name} is away too; choose somebody who is here.")
    machine = session.get_one(Machine, job.machine_id)
    other = session.scalar(running.where(Job.machine_id == machine.id))
    if other is not None:
        raise Conflict(f"{machine.name} holds {other}; finish that one first.")
    if current_outage(machine, acting.at) is not None:
        raise Conflict(f"{machine.name} is out: nobody can finish {job.code} there. Have it cut out, or hold it.")


def _from_hand_to_hand(session: Session, job: Job, stringer: Stringer) -> str:
    """Say for the racquet's history who had it and who has it now."""
    before = session.get_one(Stringer, job.stringer_id)
    if before is stringer:
        return f"{stringer.name} goes on with it"
    goes_on = (StateChange.to_state == "on_machine") & StateChange.from_state.in_(("on_machine", "held"))
    earlier = select(StateChange.id).where(StateChange.job_id == job.id, goes_on, StateChange.note != UNDO_NOTE)
    if session.scalar(earlier.limit(1)) is not None:
        return f"handed on by {before.name} to {stringer.name}"
    return f"begun by {before.name}, handed on to {stringer.name}"


def hold_half_strung(session: Session, event_id: int, job_id: int, *, acting: Acting) -> Job:
    """Set a racquet aside in the middle; it keeps when, by whom and where it was begun until somebody decides."""
    event = lock_event(session, event_id)
    job = _begun(session, event_id, job_id)
    if job.is_half_strung:
        raise Conflict(f"Racquet {job.code} is held already.")
    machine = session.get_one(Machine, job.machine_id)
    fell_away = "machine is out" if current_outage(machine, acting.at) is not None else "stringer is away"
    reason = f"half-strung, its {fell_away}"
    change_state(session, job, "held", acting=acting, note=reason)
    job.held_reason, job.expected_end_at = reason, None
    log_change(session, event, acting, f"{job.code} is held: {reason}", subject="jobs", job_id=job.id)
    return job


def cut_out(session: Session, event_id: int, job_id: int, *, acting: Acting) -> Job:
    """Take a racquet off the machine to be strung anew from the start; it waits in the queue again.

    It is noted as something that went wrong, open until somebody has booked the string that was in it as waste.
    """
    event = lock_event(session, event_id)
    job = _begun(session, event_id, job_id)
    why = _why(session, job, acting)
    note_waste(session, job, why, acting=acting)
    change_state(session, job, "waiting", acting=acting, note=CUT_OUT)
    job.started_at = job.expected_end_at = job.stringer_id = job.machine_id = None
    job.held_reason = ""
    job.late_why = f"It was cut out and is strung anew: {why}."
    log_change(session, event, acting, f"{job.code} is {CUT_OUT}", subject="jobs", job_id=job.id)
    return job


def note_waste(session: Session, job: Job, why: str, *, acting: Acting) -> None:
    """Note a racquet that was cut out, open until somebody has booked the string that was in it."""
    note = f"{why[0].upper()}{why[1:]}. Book the string that was in it as waste, under String."
    about = {"event_id": job.event_id, "job_id": job.id, "kind": mishaps.CUT_OUT, "note": note}
    session.add(Mishap(**about, at=acting.at, by=acting.by))


def _why(session: Session, job: Job, acting: Acting) -> str:
    """Say what fell away with a racquet on the machine; one that was held says it itself."""
    if job.is_half_strung:
        return f"it was held {job.held_reason}"
    machine = session.get_one(Machine, job.machine_id)
    stringer = session.get_one(Stringer, job.stringer_id)
    if current_outage(machine, acting.at) is not None or absence_at(stringer, acting.at) is None:
        return f"{machine.name} went out of service under it"
    return f"{stringer.name} went away from it"


def _begun(session: Session, event_id: int, job_id: int) -> Job:
    _, job = lock_and_find(session, event_id, Job, job_id, "job")
    if job.state != "on_machine" and not job.is_half_strung:
        raise Conflict(f"Racquet {job.code} is {state_words(job)}; it is not on a machine (any more).")
    return job
