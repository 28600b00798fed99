"""The day in pictures: strung by the hour against what the team can do, waiting and late, string left in days."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from desk.models import Event, Stringer
from desk.queries.close.facts import Facts, JobFact, read_facts
from desk.queries.close.span import UsageSpan, day_span
from desk.queries.string.orders import order_rows
from desk.queries.team.team import stringers_of, windows_of
from desk.trade.play.needed_by import late_from

HOUR = timedelta(hours=1)


@dataclass(frozen=True, kw_only=True)
class HourPoint:
    """One hour: strung in it, what the team can string in it, and how it stood at its end, or now."""

    from_at: datetime
    strung: int
    can_do: float
    waiting: int
    late: int


@dataclass(frozen=True, kw_only=True)
class DaysLeft:
    """For how many days at the mean use so far a string of the desk lasts."""

    string: str
    days: float


@dataclass(frozen=True, kw_only=True)
class DayPictures:
    """What the organiser's pictures are drawn from."""

    hours: tuple[HourPoint, ...]
    strings: tuple[DaysLeft, ...]


def day_pictures(
    session: Session, event: Event, day: date, starts: Sequence[datetime], minutes_each: float, *, at: datetime
) -> DayPictures:
    """Return the pictures of a DAY from the hours of its sheet, which begin at STARTS in UTC.

    MINUTES_EACH is the mean time on the bench: what a team can do in an hour is its minutes on shift over it.
    Waiting is what the sheet carries over: waiting, held or on a machine.
    """
    span, facts = day_span(session, event, day, at), read_facts(session, event)
    people = stringers_of(session, event)
    return DayPictures(
        hours=tuple(_point(facts, people, span, start, minutes_each) for start in starts),
        strings=_strings(session, event, at),
    )


def _point(
    facts: Facts, people: Iterable[Stringer], span: UsageSpan, start: datetime, minutes_each: float
) -> HourPoint:
    end = min(start + HOUR, span.end_at) if start < span.end_at else start + HOUR
    here = [job for job in facts.jobs if _is_open(job, end)]
    minutes = sum(_within(windows_of(one, span.end_at), start, start + HOUR) for one in people)
    return HourPoint(
        from_at=start,
        strung=sum(job.finished_at is not None and start <= job.finished_at < start + HOUR for job in facts.jobs),
        can_do=minutes / minutes_each,
        waiting=len(here),
        late=sum(_is_late(job, end) for job in here),
    )


def _is_open(job: JobFact, at: datetime) -> bool:
    gone_at = (job.finished_at, job.cancelled_at)
    return job.dropped_at < at and not any(moment is not None and moment < at for moment in gone_at)


def _is_late(job: JobFact, at: datetime) -> bool:
    late_at = late_from(job.needed_by_at, job.latest_at)
    return late_at is not None and late_at < at


def _within(windows: Iterable[tuple[datetime, datetime]], start: datetime, end: datetime) -> float:
    return sum(max(0.0, (min(end, to_at) - max(start, from_at)).total_seconds() / 60) for from_at, to_at in windows)


def _strings(session: Session, event: Event, at: datetime) -> tuple[DaysLeft, ...]:
    rows = [row for row in order_rows(session, event, at) if row.use_per_day_m > 0]
    left = [DaysLeft(string=row.string_name, days=max(0.0, row.on_hand_m) / row.use_per_day_m) for row in rows]
    return tuple(sorted(left, key=lambda one: one.days)[:6])
