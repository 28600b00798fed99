"""Machines, and the stringers at them."""

from collections.abc import Sequence
from typing import Any

from sqlalchemy.orm import Session

from desk.models import Event, Machine, Shift, Stringer
from desk.trade.event.event_time import EventClock
from tests.make.adding import add, next_number


def make_machine(session: Session, event: Event, **over: Any) -> Machine:
    number = next_number(session, Machine)
    values = {"code": f"M{number:02}", "name": f"Bench {number}", "kind": "constant_pull", "position": number} | over
    return add(session, Machine(event_id=event.id, **values))


def make_stringer(
    session: Session, event: Event, *, hours: Sequence[tuple[str, str]] = (("08:00", "21:00"),), **over: Any
) -> Stringer:
    """Return a stringer who works HOURS (wall clock) on every day of the event."""
    number = next_number(session, Stringer)
    values = {"code": f"S{number:02}", "name": f"Stringer {number}", "position": number} | over
    stringer = add(session, Stringer(event_id=event.id, **values))
    for day in event.days:
        clock = EventClock(event.time_zone, day.date)
        for start, end in hours:
            span = {"from_at": clock.parse(start, day.date), "to_at": clock.parse(end, day.date)}
            session.add(Shift(stringer_id=stringer.id, **span))
    session.flush()
    return stringer
