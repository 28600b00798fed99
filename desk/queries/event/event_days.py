"""To which day of an event a moment belongs, when play and desk run past midnight."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, EventDay
from desk.trade.event.event_time import EventClock


@dataclass(frozen=True, kw_only=True)
class DaySpan:
    """One day of the desk as a half-open span of UTC: from midnight, or from when the day before closes."""

    date: date
    from_at: datetime
    to_at: datetime

    def holds(self, at: datetime) -> bool:
        return self.from_at <= at < self.to_at


def day_spans(session: Session, event: Event) -> list[DaySpan]:
    """Return the event's days as spans; a night's work belongs to the day before until its desk closes."""
    days = session.scalars(select(EventDay).where(EventDay.event_id == event.id).order_by(EventDay.date)).all()
    if not days:
        return []
    clock = EventClock(event.time_zone, days[0].date)
    begins = [_midnight(clock, days[0].date)]
    for before, day in pairwise(days):
        begins.append(min(max(_midnight(clock, day.date), before.closes_at), day.opens_at))
    ends = [*begins[1:], max(_midnight(clock, days[-1].date + timedelta(days=1)), days[-1].closes_at)]
    spans = zip(days, begins, ends, strict=True)
    return [
        DaySpan(date=day.date, from_at=from_at, to_at=min(to_at, _end(clock, day))) for day, from_at, to_at in spans
    ]


def _midnight(clock: EventClock, day: date) -> datetime:
    return clock.to_utc(clock.day_start(day))


def _end(clock: EventClock, day: EventDay) -> datetime:
    return max(_midnight(clock, day.date + timedelta(days=1)), day.closes_at)


def day_at(spans: list[DaySpan], at: datetime) -> DaySpan | None:
    """Return the day that holds AT, or None between and outside the event's days."""
    return next((span for span in spans if span.holds(at)), None)


def closed_since(session: Session, event: Event, at: datetime) -> datetime | None:
    """Return when the day that holds AT was closed; None while it is open, and outside the event's days."""
    today = day_at(day_spans(session, event), at)
    found = select(EventDay.closed_at).where(EventDay.event_id == event.id)
    return None if today is None else session.scalar(found.where(EventDay.date == today.date))
