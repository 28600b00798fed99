"""Bench time from the card, paces from finished jobs, and the lead's own figures over both."""

from __future__ import annotations

from functools import partial

from sqlalchemy import select
from sqlalchemy.orm import Session, joinedload

from desk.errors import BadInput
from desk.models import Event, HouseTime, Job, JobCard, Racquet, Stringer
from desk.queries.bench.bench_times import HOUSE_KEYS, bench_card, learned_times
from desk.services.acting import Acting, lock_and_find, lock_event, log_change, note_change
from desk.trade.bench.bench_time import HouseTable
from desk.trade.bench.pace import Pace
from desk.trade.errors import TradeError

_log = partial(log_change, subject="bench times")


def learn_paces(session: Session, event: Event) -> int:
    """Set every stringer's pace from the finished jobs, and return how many changed."""
    paces = learned_times(session, event).paces
    changed = 0
    for stringer in session.scalars(select(Stringer).where(Stringer.event_id == event.id)):
        pace = paces.get(stringer.id, Pace()).learned
        if stringer.id in paces and stringer.pace != pace:
            stringer.pace = pace
            changed += 1
    if changed:
        session.flush()
        note_change(event)
    return changed


def overrule_minutes(session: Session, event_id: int, key: str, minutes: int | None, *, acting: Acting) -> int:
    """Set the house minutes of one row of the table (None: as learned); return how many waiting jobs changed."""
    event = lock_event(session, event_id)
    if key not in HOUSE_KEYS:
        raise BadInput(f'There is no row "{key}" in the table of bench times; choose one that is there.')
    _require_sound(key, minutes)
    row = session.scalar(select(HouseTime).where(HouseTime.event_id == event.id, HouseTime.key == key))
    if minutes is None and row is not None:
        session.delete(row)
    elif minutes is not None and row is not None:
        row.minutes, row.at, row.by = minutes, acting.at, acting.by
    elif minutes is not None:
        session.add(HouseTime(event_id=event.id, key=key, minutes=minutes, at=acting.at, by=acting.by))
    words = "as learned" if minutes is None else f"{minutes} minutes"
    _log(session, event, acting, f"{key}: {words}")
    return refresh_waiting(session, event)


def overrule_pace(session: Session, event_id: int, stringer_id: int, pace: int | None, *, acting: Acting) -> Stringer:
    """Set a stringer's pace in per cent of house time; None returns to the learned one."""
    event, stringer = lock_and_find(session, event_id, Stringer, stringer_id, "stringer")
    try:
        Pace(overruled=pace)
    except TradeError as error:
        raise BadInput(str(error), fields={"pace": str(error)}) from error
    stringer.pace_override = pace
    words = "as learned" if pace is None else f"{pace} per cent of house time"
    _log(session, event, acting, f"Pace of {stringer.name}: {words}")
    return stringer


def refresh_waiting(session: Session, event: Event) -> int:
    """Work out the house minutes of all jobs that are not begun; return how many changed."""
    table = learned_times(session, event).table
    jobs = session.scalars(
        select(Job)
        .where(Job.event_id == event.id, Job.state.in_(("waiting", "held")))
        .options(
            joinedload(Job.card).options(joinedload(JobCard.mains_string), joinedload(JobCard.crosses_string)),
            joinedload(Job.racquet).joinedload(Racquet.frame),
        )
    )
    changed = 0
    for job in jobs:
        minutes = _minutes(job, table)
        changed += minutes != job.house_minutes
        job.house_minutes = minutes
    return changed


def _minutes(job: Job, table: HouseTable) -> int:
    materials = job.card.strings.map(lambda string: string.material)
    return table.minutes(bench_card(job.card, job.racquet.frame, materials, on_court=job.on_court))


def _require_sound(key: str, minutes: int | None) -> None:
    try:
        HouseTable().overruled(key, minutes)
    except TradeError as error:
        raise BadInput(str(error), fields={"minutes": str(error)}) from error
