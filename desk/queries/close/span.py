"""What a usage report covers: one day of the event, or all its days so far."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, and_, select, true
from sqlalchemy.orm import Session

from desk.errors import NotFound
from desk.models import Event, EventDay
from desk.queries.event.event_days import DaySpan, day_spans


@dataclass(frozen=True, kw_only=True)
class UsageSpan:
    """A stretch of the event, half-open in UTC; None at an end: whatever was recorded before or after.

    The days of an event share all time between them: what was recorded before the first day belongs to
    the first, and what came in a night to the day before. A day that was closed ends there, as a till
    does: what comes later counts for the next day, so that the figures of a closed day stand. `end_at` is
    when the report looks at what still waits: the present, or the end of a day that is over.
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
    def day(self) -> date | None:
        """The day reported, if it is one; None of what came after the last day was closed."""
        return self.days[0].date if self.days else None

    @property
    def dates(self) -> tuple[date, ...]:
        return tuple(day.date for day in self.days)


def event_span(session: Session, event: Event, at: datetime) -> UsageSpan:
    """Return the days of the event that have begun by AT, the first at least, as one span."""
    spans = usage_spans(session, event, at)
    begun = [number for number, span in enumerate(spans) if span.from_at is not None and span.from_at <= at]
    last = begun[-1] if begun else 0
    to_at = spans[last].to_at if last + 1 < len(spans) else None
    days = tuple(day for span in spans[: last + 1] for day in span.days)
    return UsageSpan(days=days, from_at=None, to_at=to_at, end_at=_end(at, to_at))


def usage_spans(session: Session, event: Event, at: datetime) -> list[UsageSpan]:
    """Return every day of the event as a span of its own, in order."""
    days, spans = _days(session, event)
    found = []
    from_at = None
    for number, day in enumerate(days):
        next_at = spans[number + 1].from_at if number + 1 < len(days) else None
        to_at = min((at for at in (next_at, day.closed_at) if at is not None), default=None)
        end_at = _end(at, spans[number].to_at if to_at is None else to_at)
        found.append(UsageSpan(days=(day,), from_at=from_at, to_at=to_at, end_at=end_at))
        from_at = to_at
    return found


def after_the_event(spans: list[UsageSpan], at: datetime) -> list[UsageSpan]:
    """Return what came since the last day was closed, as a span without a day; nothing while it is open.

    A federation pays by transfer when the event is over: its line belongs to the event and to none of its days.
    """
    closed_at = spans[-1].days[0].closed_at
    if closed_at is None or at <= closed_at:
        return []
    return [UsageSpan(days=(), from_at=spans[-1].to_at, to_at=None, end_at=at)]


def today(session: Session, event: Event, at: datetime) -> EventDay:
    """Return the day that holds AT: before the event its first, after it its last, open or closed."""
    days, spans = _days(session, event)
    begun = [day for day, span in zip(days, spans, strict=True) if span.from_at <= at]
    return begun[-1] if begun else days[0]


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
