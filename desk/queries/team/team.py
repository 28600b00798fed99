"""The stringers: who works when, who is absent, and at which machine each one is at home."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import case, false, func, select
from sqlalchemy.orm import Session, selectinload

from desk.models import Absence, Event, Job, Machine, Shift, Stringer
from desk.queries.event.event_days import day_at, day_spans
from desk.queries.event.events import names_by_id
from desk.queries.row_making import grouped, row_of
from desk.queries.spans import OPEN_END, Span, gap, holds, joined, without


@dataclass(frozen=True, kw_only=True)
class SpanRow:
    """Hours of a stringer: a shift, or an absence with its reason; `to_at` None: until somebody knows."""

    row_id: int
    from_at: datetime
    to_at: datetime | None
    reason: str = ""


@dataclass(frozen=True, kw_only=True)
class StringerRow:
    """One stringer with hours, where they are at the moment asked for, and in words what they may not string.

    `racquets` are those strung at the event, `racquets_today` those of them strung today.
    """

    stringer_id: int
    code: str
    name: str
    home_machine_id: int | None
    home_machine: str
    pace: int
    pace_override: int | None
    has_pin: bool
    racquets: int
    racquets_today: int
    shifts: tuple[SpanRow, ...]
    absences: tuple[SpanRow, ...]
    at_work: bool
    absent: bool
    back_at: datetime | None
    next_at: datetime | None
    limits: tuple[str, ...] = ()


def work_windows(session: Session, event: Event, at: datetime) -> dict[int, list[Span]]:
    """Return for each stringer the spans of UTC at work, as counted with at AT: shifts less absences."""
    of_event = Stringer.event_id == event.id
    ids = session.scalars(select(Stringer.id).where(of_event).order_by(Stringer.position, Stringer.code)).all()
    shift = (Shift.stringer_id, Shift.from_at, Shift.to_at)
    hours = session.execute(select(*shift).join_from(Stringer, Shift).where(of_event).order_by(Shift.from_at))
    shifts = grouped((stringer_id, (from_at, to_at)) for stringer_id, from_at, to_at in hours)
    away = session.scalars(select(Absence).join_from(Stringer, Absence).where(of_event).order_by(Absence.from_at))
    absences = grouped((absence.stringer_id, gap(absence, at)) for absence in away)
    return {stringer_id: without(shifts[stringer_id], absences[stringer_id]) for stringer_id in ids}


def windows_of(stringer: Stringer, at: datetime) -> list[Span]:
    """Return the shifts of one stringer less the absences, as counted with at AT."""
    shifts = [(shift.from_at, shift.to_at) for shift in stringer.shifts]
    return without(shifts, [gap(absence, at) for absence in stringer.absences])


def absence_at(stringer: Stringer, at: datetime) -> Absence | None:
    """Return the absence that holds at AT: nobody said yet that it is over."""
    return next((one for one in stringer.absences if holds(one, at)), None)


def stringers_of(session: Session, event: Event) -> Sequence[Stringer]:
    """Return the event's stringers in the desk's order, with their shifts and absences."""
    found = (
        select(Stringer)
        .where(Stringer.event_id == event.id)
        .order_by(Stringer.position, Stringer.code)
        .options(selectinload(Stringer.shifts), selectinload(Stringer.absences))
        .execution_options(populate_existing=True)
    )
    return session.scalars(found).all()


def stringer_rows(session: Session, event: Event, at: datetime) -> list[StringerRow]:
    """Return every stringer in the desk's order, as it stands at AT."""
    machines = names_by_id(session, event, Machine)
    today = day_at(day_spans(session, event), at)
    of_today = false() if today is None else (Job.finished_at >= today.from_at) & (Job.finished_at < today.to_at)
    strung = (
        select(Job.stringer_id, func.count(), func.sum(case((of_today, 1), else_=0)))
        .where(Job.event_id == event.id, Job.finished_at.is_not(None), Job.stringer_id.is_not(None))
        .group_by(Job.stringer_id)
    )
    racquets = {stringer_id: counted for stringer_id, *counted in session.execute(strung)}
    return [
        _row(stringer, machines.get(stringer.home_machine_id or 0, ""), racquets.get(stringer.id, (0, 0)), at)
        for stringer in stringers_of(session, event)
    ]


def _limits(stringer: Stringer) -> Iterator[str]:
    if stringer.is_trainee:
        yield "trainee: no natural gut, nothing from the court"
    if not stringer.strings_gut and not stringer.is_trainee:
        yield "no natural gut"
    if not stringer.strings_on_court and not stringer.is_trainee:
        yield "nothing from the court"
    if stringer.most_a_day is not None:
        yield f"at most {stringer.most_a_day} a day"


def _row(stringer: Stringer, home: str, racquets: Sequence[int], at: datetime) -> StringerRow:
    windows = windows_of(stringer, at)
    absences = [gap(one, at) for one in stringer.absences]
    now_absent = next((span for span in joined(absences) if span[0] <= at < span[1]), None)
    back_at = None if now_absent is None or now_absent[1] == OPEN_END else now_absent[1]
    return row_of(
        StringerRow,
        stringer,
        stringer_id=stringer.id,
        home_machine=home,
        has_pin=bool(stringer.pin_hash),
        racquets=racquets[0],
        racquets_today=racquets[1],
        shifts=tuple(row_of(SpanRow, one, row_id=one.id, reason="") for one in stringer.shifts),
        absences=tuple(row_of(SpanRow, one, row_id=one.id) for one in stringer.absences),
        at_work=any(start <= at < end for start, end in windows),
        absent=now_absent is not None,
        back_at=back_at,
        next_at=next((start for start, _ in windows if start > at), None),
        limits=tuple(_limits(stringer)),
    )
