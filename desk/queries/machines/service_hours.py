"""A machine's hours in service, day by day."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Machine, ServiceHours
from desk.queries.event.event_days import DaySpan, day_spans
from desk.queries.spans import Span, joined


def hours_by_day(session: Session, event: Event, machine: Machine) -> list[tuple[DaySpan, list[Span]]]:
    """Return each day of the event with the machine's hours in service on it, in order.

    A machine without any hours is in service throughout, so each day then comes whole.
    """
    found = select(ServiceHours.from_at, ServiceHours.to_at).where(ServiceHours.machine_id == machine.id)
    spans = [(from_at, to_at) for from_at, to_at in session.execute(found)]
    days = day_spans(session, event)
    return [(day, _within(day, spans) if spans else [whole(day)]) for day in days]


def whole(day: DaySpan) -> Span:
    """Return all of a day as one span."""
    return day.from_at, day.to_at


def _within(day: DaySpan, spans: list[Span]) -> list[Span]:
    return joined((max(start, day.from_at), min(end, day.to_at)) for start, end in spans)
