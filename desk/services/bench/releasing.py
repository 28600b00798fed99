"""Held racquets that are released: by hand, or by themselves when the string that they waited for comes."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Event, Job
from desk.queries.plan.who_may import is_gut
from desk.queries.plan.workload_jobs import fresh_from_of
from desk.queries.promise import quotes
from desk.queries.string.foresight import foresee
from desk.services.acting import Acting, log_change
from desk.services.bench.job_states import change_state
from desk.services.promise import promises
from desk.trade.racquet.frame_answer import FRAME_IS_CRACKED, asks_for_frame
from desk.trade.racquet.reel_choice import MISSING, MISSING_WORDS

RELEASED = "released"


def held_for_string(session: Session, event_id: int) -> list[Job]:
    """Return the jobs that are held because string is missing, in the order of their tags."""
    reason = Job.held_reason.startswith(MISSING_WORDS, autoescape=True)
    found = select(Job).where(Job.event_id == event_id, Job.state == "held", reason).order_by(Job.serial)
    return list(session.scalars(found))


def release_for_string(
    session: Session, event: Event, string_ids: Collection[int], *, acting: Acting, arrived: bool = True
) -> list[Job]:
    """Release every job that was held for one of these strings and can be strung now, the most urgent first.

    What waits already keeps its string. With ARRIVED false string was only freed, not brought: then a
    job that a bench found without string, against the records, stays held.
    """
    if not held_for_string(session, event.id):
        return []
    can = [
        one.job_id
        for one in foresee(session, event).can_be_released
        if one.need.bed.string_ids & set(string_ids) and (arrived or one.held_reason.startswith(MISSING))
    ]
    jobs = [session.get_one(Job, job_id) for job_id in can]
    let_go_on(session, event, jobs, acting=acting, why="waits again: its string is there now")
    return jobs


def let_go_on(
    session: Session,
    event: Event,
    jobs: Sequence[Job],
    *,
    acting: Acting,
    why: str = "waits again",
    frame_is_whole: bool = False,
) -> None:
    """Let held jobs wait in the queue again; one that has no ready time is promised one, as at the counter.

    FRAME_IS_WHOLE answers what is asked where the reason speaks of a damaged frame.
    """
    for job in jobs:
        _require_whole(job, frame_is_whole)
    unpromised = [job for job in jobs if not job.promises]
    found = quote_ready(session, event, unpromised, acting=acting)
    for job in jobs:
        change_state(session, job, "waiting", acting=acting, note=RELEASED)
        job.held_reason = ""
        job.stringer_id = job.machine_id = None
        log_change(session, event, acting, f"{job.code} {why}", subject="jobs", job_id=job.id)
    for job, quote in zip(unpromised, found, strict=True):
        promise_quoted(session, event, job, quote, acting=acting)


def _require_whole(job: Job, frame_is_whole: bool) -> None:
    if asks_for_frame(job.held_reason) and not frame_is_whole:
        raise Conflict(
            f"Racquet {job.code} is held: {job.held_reason}. Is the frame cracked? Then it is not strung: tell the "
            "owner, who keeps it, and cancel the job. If it is not, say so where the racquet is released in the plan."
        )
    if job.held_reason == FRAME_IS_CRACKED:
        raise Conflict(
            f"Racquet {job.code} is held for a crack: a cracked frame is not strung, since it can burst under tension. "
            "Tell the owner, who keeps it, and cancel the job."
        )
    if job.is_half_strung:
        raise Conflict(
            f"Racquet {job.code} is half-strung: it cannot wait like a new one. "
            "Say under Plan who finishes it, or have it cut out and strung anew."
        )


def quote_ready(session: Session, event: Event, jobs: Sequence[Job], *, acting: Acting) -> list[quotes.ReadyQuote]:
    """Quote a ready time for each job as if it were dropped off now, whatever place in the queue it has."""
    wanted, names = [_wanted(event, job, acting) for job in jobs], {job.plan_name for job in jobs}
    return quotes.quote_jobs(session, event, wanted, acting.at, leaving_out=names) if wanted else []


def _wanted(event: Event, job: Job, acting: Acting) -> quotes.Wanted:
    return quotes.Wanted(
        player_code=job.player.code,
        house_minutes=job.house_minutes,
        ready_from_at=max(acting.at, job.held_back_until or acting.at),
        needed_by_at=job.needed_by_at,
        latest_at=job.latest_at,
        fresh_from_at=fresh_from_of(event, job),
        weight=job.weight,
        on_court=job.on_court,
        gut=is_gut(job),
    )


def promise_quoted(session: Session, event: Event, job: Job, quote: quotes.ReadyQuote, *, acting: Acting) -> None:
    """Promise a waiting job the time that was quoted; without a place in the plan there is nothing to promise."""
    if quote.told is not None:
        promises.give_promise(session, event, job, quote.told, acting=acting)
