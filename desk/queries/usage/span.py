"""What a usage report covers: one day of the event, or all its days so far."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, and_, select, true
from sqlalchemy.orm import Session

from desk.errors import NotFound
from desk.models import Event, EventDay
from desk.queries.event_days import DaySpan, day_spans


@dataclass(frozen=True, kw_only=True)
class UsageSpan:
    """A stretch of the event, half-open in UTC; None at an end: whatever was recorded before or after.

    The days of an event share all time between them: what was recorded before the first day belongs to
    the first, and what came in a night to the day before, so that the days add up to the event.
    `end_at` is when the report looks at what still waits: the present, or the end of a day that is over.
    """

    days: tuple[EventDay, ...]
    from_at: datetime | None
    to_at: datetime | None
    end_at: datetime

    def holds(self, at: datetime | None) -> bool:
        return at is not None and self.is_begun_by(at) and self.is_known(at)

    def is_begun_by(self, at: datetime) -> bool:
        return self.from_at is None or self.from_at <= at

    def is_known(self, at: datetime | None) -> bool:
        """Whether something had happened before the end of the span."""
        return at is not None and (self.to_at is None or at < self.to_at)

    def within(self, column: Any) -> ColumnElement[bool]:
        """The SQL condition that COLUMN lies in the span."""
        return and_(self.since(column), self.until(column))

    def since(self, column: Any) -> ColumnElement[bool]:
        return true() if self.from_at is None else column >= self.from_at

    def until(self, column: Any) -> ColumnElement[bool]:
        return true() if self.to_at is None else column < self.to_at

    @property
    def dates(self) -> tuple[date, ...]:
        return tuple(day.date for day in self.days)


def event_span(session: Session, event: Event, at: datetime) -> UsageSpan:
    """Return the event from its beginning to AT, whole days only counted as begun or not."""
    days, spans = _days(session, event)
    begun = [number for number, span in enumerate(spans) if span.from_at <= at] or [0]
    last = begun[-1]
    to_at = spans[last + 1].from_at if last + 1 < len(spans) else None
    return UsageSpan(days=tuple(days[: last + 1]), from_at=None, to_at=to_at, end_at=_end(at, to_at))


def usage_spans(session: Session, event: Event, at: datetime) -> list[UsageSpan]:
    """Return every day of the event as a span of its own, in order."""
    days, spans = _days(session, event)
    found = []
    for number, day in enumerate(days):
        from_at = spans[number].from_at if number else None
        to_at = spans[number + 1].from_at if number + 1 < len(days) else None
        found.append(UsageSpan(days=(day,), from_at=from_at, to_at=to_at, end_at=_end(at, spans[number].to_at)))
    return found


def day_span(session: Session, event: Event, day: date, at: datetime) -> UsageSpan:
    """Return one day of the event, or say which days it has."""
    spans = usage_spans(session, event, at)
    for span in spans:
        if span.dates == (day,):
            return span
    raise NotFound(
        f"{day.isoformat()} is no day of {event.name}; it runs from {spans[0].dates[0].isoformat()} "
        f"to {spans[-1].dates[0].isoformat()}."
    )


def _days(session: Session, event: Event) -> tuple[list[EventDay], list[DaySpan]]:
    found = select(EventDay).where(EventDay.event_id == event.id).order_by(EventDay.date)
    days = list(session.scalars(found))
    if not days:
        raise NotFound(f"{event.name} has no day yet; give it its days in the settings first.")
    return days, day_spans(session, event)


def _end(at: datetime, to_at: datetime | None) -> datetime:
    return at if to_at is None else min(at, to_at)
