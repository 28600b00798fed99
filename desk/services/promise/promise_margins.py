"""The margin between the planned end and the ready time told, learned from the event's own promises."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import ceil

from sqlalchemy import func, select
from sqlalchemy.orm import Session, object_session

from desk.models import Event, Job, Promise
from desk.queries.play.play_records import clock_of
from desk.trade.promise import PromiseKept, PromiseSettings, learned_correction, margin_min

HOUSE_MINUTES = 22
"""Bench time of a racquet in the queue where only their number is known (common practice: 16 to 25)."""

SLIPPED_IN_PER_HOUR, SLIPPED_IN_PATIENT = 0.25, 0.5
"""Racquets that slip in before one on a bench in an hour: on-court jobs (0.17: 7 % of 2.5 an hour, press reports
and common practice) and those needed sooner. Twice as many pass one that has `PATIENT` and more to spare. Both
found by playing days of 30 to 90 racquets (our own)."""

PATIENT = timedelta(minutes=60)
STEP = timedelta(minutes=5)


@dataclass(frozen=True, kw_only=True)
class Calibration:
    """What the event's own promises taught: the factor on margins, and from how many promises."""

    correction: float
    promises: int
    kept: int
    settings: PromiseSettings


def promise_time(
    planned_end_at: datetime,
    *,
    jobs_ahead: int,
    event: Event,
    minutes: int = HOUSE_MINUTES,
    needed_by_at: datetime | None = None,
    calibration: Calibration | None = None,
) -> datetime:
    """Return the ready time to tell a player whose racquet is planned to end at PLANNED_END_AT.

    Parameters
    ----------
    jobs_ahead : int
        Racquets that the same stringer finishes first.
    minutes : int
        Bench time of the racquet itself.
    needed_by_at : datetime, optional
        One that is needed soon is passed by fewer; without a time it counts as patient.
    calibration : Calibration, optional
        Read once by the caller of many; else from the event's records.
    """
    session = object_session(event)
    if calibration is None:
        calibration = _UNTAUGHT if session is None else calibration_of(session, event)
    patient = is_patient(planned_end_at, needed_by_at)
    margin = queue_margin(jobs_ahead, minutes, calibration.settings, patient=patient)
    return _up_to_step(planned_end_at + timedelta(minutes=ceil(margin * calibration.correction)))


def is_patient(planned_end_at: datetime, needed_by_at: datetime | None) -> bool:
    """Tell whether a racquet has so much to spare that others are put before it."""
    return needed_by_at is None or needed_by_at - planned_end_at >= PATIENT


def calibration_of(session: Session, event: Event) -> Calibration:
    """Return what the event's kept and broken promises taught so far; read once in a session and change."""
    held = session.info.get(_calibration_key(event))
    if held is not None and held[0] == event.change_number:
        found: Calibration = held[1]
        return found
    calibration = _learn(session, event)
    session.info[_calibration_key(event)] = (event.change_number, calibration)
    return calibration


def _calibration_key(event: Event) -> tuple[str, int]:
    return ("promises", event.id)


def _learn(session: Session, event: Event) -> Calibration:
    clock = clock_of(session, event)
    kept = [
        PromiseKept(clock.to_minutes(planned), margin, clock.to_minutes(ready))
        for planned, margin, ready in _first_promises(session, event)
    ]
    settings = PromiseSettings(hold=event.promise_per_cent / 100, on_court_min=event.on_court_minutes)
    correction = learned_correction(kept, settings.hold)
    held = sum(1 for one in kept if one.ready_min <= one.planned_end_min + ceil(correction * one.margin_min))
    return Calibration(correction=correction, promises=len(kept), kept=held, settings=settings)


def _first_promises(session: Session, event: Event) -> Sequence[tuple[datetime, int, datetime]]:
    """Return (planned end, margin, ready) of each strung racquet's first promise: the one made in good faith."""
    first = (
        select(func.min(Promise.id))
        .join(Job, Job.id == Promise.job_id)
        .where(Job.event_id == event.id, Job.finished_at.is_not(None), Promise.planned_end_at.is_not(None))
        .group_by(Promise.job_id)
    )
    found = (
        select(Promise.planned_end_at, Promise.margin_minutes, Job.finished_at)
        .join(Job, Job.id == Promise.job_id)
        .where(Promise.id.in_(first))
    )
    return [(planned, margin, ready) for planned, margin, ready in session.execute(found) if planned and ready]


def queue_margin(jobs_ahead: int, minutes: int, settings: PromiseSettings, *, patient: bool) -> int:
    """Minutes of margin before the correction, for a queue of which only the number of racquets is known."""
    rate = SLIPPED_IN_PATIENT if patient else SLIPPED_IN_PER_HOUR
    starts = [HOUSE_MINUTES * number for number in range(max(0, jobs_ahead))]
    queue = [(start, start + HOUSE_MINUTES) for start in starts]
    own = HOUSE_MINUTES * len(queue)
    return margin_min([*queue, (own, own + max(1, minutes))], 0, replace(settings, on_court_per_hour=rate))


def _up_to_step(at: datetime) -> datetime:
    """Round up to the next five minutes; every time zone in use is a multiple of five minutes from UTC."""
    past = timedelta(minutes=at.minute % 5, seconds=at.second, microseconds=at.microsecond)
    return at if not past else at - past + STEP


_UNTAUGHT = Calibration(correction=1.0, promises=0, kept=0, settings=PromiseSettings())
