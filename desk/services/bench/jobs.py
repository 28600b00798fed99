"""A job on its way: started, finished, held, released, cancelled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, Job, Machine, Stringer
from desk.queries.bench.sisters import unlike_this
from desk.queries.finding import find_of
from desk.queries.machines.machines import why_unusable
from desk.queries.plan.who_may import begun_today, is_gut, why_not
from desk.queries.team.team import absence_at
from desk.services.acting import Acting, lock_and_find, log_change
from desk.services.bench import bench_times
from desk.services.bench.job_states import change_state, seen_before, state_words
from desk.services.bench.releasing import let_go_on, release_for_string
from desk.services.bench.stranded import note_waste
from desk.services.money import charges
from desk.services.string import string_use
from desk.trade.bench.pace import stringer_minutes
from desk.trade.racquet.bed import NOT_SAID, Bed, HalfUse

BENCH_CHECKS = {
    "weave": "Weave is right, no missed cross",
    "knots": "Knots are tight, tails cut",
    "tension": "Tension set as on the card",
    "stencil": "Stencil as on the card",
    "tag": "Tag is on the right racquet",
}


@dataclass(frozen=True, kw_only=True)
class Finish:
    """What the bench says of a finished racquet.

    Metres that nobody measured are computed. `stiffness` is in the units of
    the desk's own meter. `accept_difference` says that a racquet unlike its sisters leaves all the same.
    """

    checks: Sequence[str] = ()
    stiffness: float | None = None
    used: Bed[HalfUse] = NOT_SAID
    accept_difference: bool = False


def start_job(
    session: Session,
    event_id: int,
    job_id: int,
    *,
    acting: Acting,
    stringer_id: int,
    machine_id: int,
    request_key: str | None = None,
) -> Job:
    """Put a waiting racquet on the machine; the stringer and the machine must be free, the machine fit to pull.

    Refused without the calibration of today, where the event requires one.
    """
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    if seen_before(session, request_key):
        return job
    stringer = find_of(session, event, Stringer, stringer_id, "stringer")
    machine = find_of(session, event, Machine, machine_id, "machine")
    if job.state != "waiting":
        raise Conflict(f"Racquet {job.code} is {state_words(job)}; only a waiting one can be started.")
    _require_here(session, event, stringer, acting)
    _require_may(session, event, stringer, job, acting)
    _require_free(session, event, stringer, machine)
    _require_usable(session, event, machine, acting)
    change_state(session, job, "on_machine", acting=acting, request_key=request_key)
    job.stringer_id, job.machine_id, job.started_at = stringer.id, machine.id, acting.at
    minutes = stringer_minutes(job.house_minutes, stringer.pace_override or stringer.pace)
    job.expected_end_at = acting.at + timedelta(minutes=minutes)
    log_change(
        session, event, acting, f"{stringer.name} started {job.code} on {machine.name}", subject="jobs", job_id=job.id
    )
    return job


def _require_here(session: Session, event: Event, stringer: Stringer, acting: Acting) -> None:
    if absence_at(stringer, acting.at) is not None:
        raise Conflict(f"{stringer.name} is marked as away. Say under Team that they are back, then start.")


def _require_may(session: Session, event: Event, stringer: Stringer, job: Job, acting: Acting) -> None:
    reason = why_not(stringer, gut=is_gut(job), on_court=job.on_court)
    if not reason and stringer.most_a_day is not None:
        begun = begun_today(session, event, acting.at).get(stringer.id, 0)
        if begun >= stringer.most_a_day:
            reason = f"{stringer.name} has begun {begun} today, the most that was set."
    if reason:
        raise Conflict(f"{reason} Give {job.code} to somebody else, or change it under Team.")


def _require_free(session: Session, event: Event, stringer: Stringer, machine: Machine) -> None:
    running = session.scalars(select(Job).where(Job.event_id == event.id, Job.state == "on_machine")).all()
    for other in running:
        if other.stringer_id == stringer.id:
            raise Conflict(f"{stringer.name} still has {other.code} on the machine; finish it or report a problem.")
        if other.machine_id == machine.id:
            raise Conflict(f"{machine.name} still holds {other.code}; take another machine or finish that job.")


def _require_usable(session: Session, event: Event, machine: Machine, acting: Acting) -> None:
    reason = why_unusable(session, event, machine, acting.at)
    if reason:
        raise Conflict(
            f"{machine.name} cannot start a racquet. {reason} Take another machine, or put this right under Machines."
        )


def finish_job(
    session: Session,
    event_id: int,
    job_id: int,
    finish: Finish,
    *,
    acting: Acting,
    request_key: str | None = None,
) -> Job:
    """Call a racquet strung: checks done, string booked, charge written.

    Refused without every check, or when a sister racquet differs and nobody accepted it.
    """
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    if seen_before(session, request_key):
        return job
    if job.state != "on_machine":
        raise Conflict(f"Racquet {job.code} is {state_words(job)}; only one on the machine can be finished.")
    _require_checks(finish)
    job.stiffness = finish.stiffness
    _require_like_sisters(session, event, job, finish)
    string_use.use_for_job(session, event, job, acting=acting, used=finish.used)
    change_state(session, job, "strung", acting=acting, request_key=request_key)
    job.finished_at, job.checks_done = acting.at, " ".join(sorted(set(finish.checks)))
    charges.charge_job(session, event, job, acting=acting)
    session.flush()
    bench_times.learn_paces(session, event)
    log_change(session, event, acting, f"{job.code} is strung", subject="jobs", job_id=job.id)
    return job


def _require_checks(finish: Finish) -> None:
    missing = [text for key, text in BENCH_CHECKS.items() if key not in finish.checks]
    if missing:
        raise BadInput("Not every check is ticked yet: " + "; ".join(missing) + ".", fields={"checks": missing[0]})


def _require_like_sisters(session: Session, event: Event, job: Job, finish: Finish) -> None:
    if finish.stiffness is None or finish.accept_difference:
        return
    unlike = unlike_this(session, event, job)
    if unlike:
        raise BadInput(
            f"{job.code} differs from {', '.join(unlike)} by more than {event.stiffness_tolerance:g} in stiffness. "
            "Measure again, string it again, or accept the difference.",
            fields={"stiffness": "differs from its sisters"},
        )


def hold_job(session: Session, event_id: int, job_id: int, reason: str, *, acting: Acting) -> Job:
    """Set a waiting job aside with a reason; the plan leaves it out until it is released."""
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    require_reason(reason)
    if job.state == "on_machine":
        raise Conflict(f"Racquet {job.code} is on the machine; report the problem at the bench instead.")
    change_state(session, job, "held", acting=acting, note=reason)
    job.held_reason = reason.strip()
    log_change(session, event, acting, f"{job.code} is held: {reason.strip()}", subject="jobs", job_id=job.id)
    return job


def report_problem(
    session: Session, event_id: int, job_id: int, reason: str, *, acting: Acting, request_key: str | None = None
) -> Job:
    """Take a racquet off the machine because of a problem (a crack, a broken string): it is held."""
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    if seen_before(session, request_key):
        return job
    require_reason(reason)
    if job.state != "on_machine":
        raise Conflict(f"Racquet {job.code} is {state_words(job)}; a problem is reported of one on the machine.")
    change_state(session, job, "held", acting=acting, note=reason, request_key=request_key)
    job.held_reason = reason.strip()
    job.started_at = job.expected_end_at = None
    log_change(session, event, acting, f"Problem with {job.code}: {reason.strip()}", subject="jobs", job_id=job.id)
    return job


def release_job(session: Session, event_id: int, job_id: int, *, acting: Acting, frame_is_whole: bool = False) -> Job:
    """Let a held job wait in the queue again; one that was never promised gets its ready time now."""
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    let_go_on(session, event, [job], acting=acting, frame_is_whole=frame_is_whole)
    return job


def cancel_job(session: Session, event_id: int, job_id: int, reason: str, *, acting: Acting) -> Job:
    """Cancel a job that waits or is held; the racquet goes back as it is, of one half-strung the string is waste."""
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    require_reason(reason)
    if job.is_half_strung:
        note_waste(session, job, f"it was cancelled half-strung: {reason.strip()}", acting=acting)
    change_state(session, job, "cancelled", acting=acting, note=reason)
    log_change(session, event, acting, f"{job.code} is cancelled: {reason.strip()}", subject="jobs", job_id=job.id)
    session.flush()
    release_for_string(session, event, job.card.bed.string_ids, acting=acting, arrived=False)
    return job


def next_serial(session: Session, event: Event) -> int:
    """Return the next number of a job; the event must be locked."""
    return (session.scalar(select(func.max(Job.serial)).where(Job.event_id == event.id)) or 0) + 1


def require_reason(reason: str) -> None:
    """Refuse a touch that says no reason."""
    if not reason.strip():
        raise BadInput("Say why in a few words, so that the next person knows.", fields={"reason": "say why"})
