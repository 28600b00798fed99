"""An event with its days, its clock, and who signs in."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from sqlalchemy.orm import Session
from werkzeug.security import generate_password_hash

from desk.models import Account, Event, EventDay
from desk.services.acting import Acting
from desk.trade.event.event_time import EventClock
from tests.make.adding import add, next_number

FIRST_DAY = date(2031, 5, 12)
ZONE = "Europe/Vienna"


def moment(text: str, *, zone: str = ZONE, first_day: date = FIRST_DAY) -> datetime:
    """Return the UTC time of "Mon 14:05" or "2031-05-12 14:05" on the event's wall clock."""
    return EventClock(zone, first_day).parse_moment(text)


def acting(text: str = "Mon 12:00", *, by: str = "lead", zone: str = ZONE, first_day: date = FIRST_DAY) -> Acting:
    """Return the desk lead acting at that time."""
    return Acting(by=by, at=moment(text, zone=zone, first_day=first_day))


def make_event(
    session: Session, *, days: int = 3, first_day: date = FIRST_DAY, time_zone: str = ZONE, **over: Any
) -> Event:
    """Return an event whose desk is open from 08:00 to 22:00 on each of its days."""
    values = {"slug": f"event-{next_number(session, Event)}", "name": "Testfield Open", "currency": "EUR"} | over
    event = add(session, Event(time_zone=time_zone, **values))
    for ahead in range(days):
        make_day(session, event, first_day + timedelta(days=ahead))
    session.refresh(event)
    return event


def make_day(session: Session, event: Event, day: date, **over: Any) -> EventDay:
    clock = EventClock(event.time_zone, day)
    hours = {"opens_at": clock.parse("08:00", day), "closes_at": clock.parse("22:00", day)}
    return add(session, EventDay(event_id=event.id, date=day, **(hours | over)))


def set_clock(event: Event, text: str, *, speed: float = 0.0) -> None:
    """Let the event's own clock show that time now, and run at SPEED (0: it stands)."""
    event.clock_real_at, event.clock_event_at, event.clock_speed = datetime.now(UTC), moment(text), speed


def make_account(session: Session, *, role: str = "lead", password: str = "three plain words", **over: Any) -> Account:
    """Return an account whose name is its role; the hash is a quick one."""
    hashed = generate_password_hash(password, method="pbkdf2:sha256:1")
    return add(session, Account(**({"name": role, "role": role, "password_hash": hashed} | over)))
