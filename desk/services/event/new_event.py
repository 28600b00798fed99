"""A new event by hand: its name, place, days and hours."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Event, EventDay
from desk.services.acting import Acting, write_log
from desk.services.machines.check_list import begin_list
from desk.trade.errors import TimeError
from desk.trade.event.event_settings import SETTINGS, TOURNAMENT
from desk.trade.event.event_time import YEARS, EventClock

MOST_DAYS = 30
LONGEST_SLUG = 60


@dataclass(frozen=True, kw_only=True)
class NewEvent:
    """What must be known of an event before its desk opens; hours are local times such as "08:00"."""

    name: str
    town: str
    desk_place: str
    time_zone: str
    currency: str
    first_day: date
    days: int
    opens: str
    closes: str
    kind: str = TOURNAMENT


def create_event(session: Session, new: NewEvent, *, acting: Acting) -> Event:
    """Add an event with its days; refused with a sentence for each field that cannot stand."""
    faults = _faults(new)
    if faults:
        raise BadInput("The event cannot be set up like this yet.", fields=faults)
    event = Event(
        slug=_free_slug(session, new.name),
        name=new.name.strip(),
        town=new.town.strip(),
        desk_place=new.desk_place.strip(),
        time_zone=new.time_zone,
        currency=new.currency.upper(),
        kind=new.kind,
    )
    clock = EventClock(new.time_zone, new.first_day)
    for ahead in range(new.days):
        day = new.first_day + timedelta(days=ahead)
        hours = {"opens_at": clock.parse(new.opens, day), "closes_at": clock.parse(new.closes, day)}
        event.days.append(EventDay(date=day, **hours))
    session.add(event)
    session.flush()
    begin_list(session, event)
    write_log(session, event, acting, "event", f"{event.name} set up with {new.days} days")
    return event


def _faults(new: NewEvent) -> dict[str, str]:
    said = {
        "kind": new.kind,
        "name": new.name,
        "town": new.town,
        "desk_place": new.desk_place,
        "currency": new.currency.upper(),
    }
    faults = {name: fault for name, value in said.items() if (fault := SETTINGS[name].kind.fault(value))}
    if not 1 <= new.days <= MOST_DAYS:
        faults["days"] = f"1 to {MOST_DAYS} days"
    if new.first_day.year not in YEARS:
        return faults | {"first_day": f"a date from {YEARS[0]} to {YEARS[-1]}"}
    return faults | _clock_faults(new)


def _clock_faults(new: NewEvent) -> dict[str, str]:
    try:
        clock = EventClock(new.time_zone, new.first_day)
    except TimeError as error:
        return {"time_zone": str(error)}
    times = {}
    for field, text in (("opens", new.opens), ("closes", new.closes)):
        try:
            times[field] = clock.parse(text, new.first_day)
        except TimeError as error:
            return {field: str(error)}
    if times["closes"] <= times["opens"]:
        return {"closes": "after it opens; past midnight is written 24:30"}
    return {}


def _free_slug(session: Session, name: str) -> str:
    letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    base = re.sub(r"[^a-z0-9]+", "-", letters)[:LONGEST_SLUG].strip("-") or "event"
    taken = set(session.scalars(select(Event.slug).where(Event.slug.startswith(base, autoescape=True))))
    return next(slug for slug in (base, *(f"{base}-{n}" for n in range(2, 10_000))) if slug not in taken)
