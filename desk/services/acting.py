"""Who acts and when, the lock on the event, the counters that screens and planner follow, the log.

Every service takes the caller's session and an `Acting`; the caller owns the one transaction
(`with database.writing() as session`). A service first takes the event with `lock_event`, so that
two writes to one event never interleave on any database; it ends with `log_change`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import NotFound
from desk.models import Base, Event, LogEntry
from desk.queries.finding import find_of

Row = TypeVar("Row", bound=Base)

BY_ITSELF = "the desk"
"""Who acts where nobody did: the desk's own rules."""


@dataclass(frozen=True, kw_only=True)
class Acting:
    """Who does something (`by`, a name for the log) and when (`at`, event time, UTC)."""

    by: str
    at: datetime


def event_now(event: Event, real_now: datetime | None = None) -> datetime:
    """Return the event's time: the real one, unless the event's clock was set to run apart."""
    real = real_now or datetime.now(UTC)
    if event.clock_real_at is None or event.clock_event_at is None:
        return real
    passed = (real - event.clock_real_at).total_seconds() * event.clock_speed
    return event.clock_event_at + timedelta(seconds=passed)


def lock_event(session: Session, event_id: int) -> Event:
    """Return the event, locked until the transaction ends."""
    event = session.scalar(select(Event).where(Event.id == event_id).with_for_update())
    if event is None:
        raise NotFound(f"There is no event with the number {event_id}; it may have been removed.")
    return event


def lock_and_find(session: Session, event_id: int, table: type[Row], row_id: int, what: str) -> tuple[Event, Row]:
    """Return the event, locked until the transaction ends, and its row of TABLE with that id."""
    event = lock_event(session, event_id)
    return event, find_of(session, event, table, row_id, what)


def note_change(event: Event, *, plan: bool = True) -> None:
    """Count a change: screens fetch anew and, with `plan`, the planner plans again."""
    event.revision += 1
    if plan:
        event.change_number += 1


def write_log(
    session: Session, event: Event, acting: Acting, subject: str, text: str, *, job_id: int | None = None
) -> None:
    """Add a line to the event's log; SUBJECT is a plural noun such as `jobs`, `play`, `machines`."""
    session.add(LogEntry(event_id=event.id, at=acting.at, by=acting.by, subject=subject, text=text, job_id=job_id))


def log_change(
    session: Session,
    event: Event,
    acting: Acting,
    text: str,
    *,
    subject: str,
    job_id: int | None = None,
    plan: bool = True,
) -> None:
    """Finish a change: send it to the records, add its line to the log, and count it as `note_change` does."""
    session.flush()
    write_log(session, event, acting, subject, text, job_id=job_id)
    note_change(event, plan=plan)
