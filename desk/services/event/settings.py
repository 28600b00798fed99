"""The settings of one event, changed on its screen; everything that is wrong is said at once."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Charge, Event, EventDay, Job, Machine, Match, ServiceHours, Settlement, Shift, Stringer
from desk.services.acting import Acting, lock_and_find, lock_event, log_change
from desk.trade.event.event_settings import SETTINGS
from desk.trade.event.event_time import EventClock

_BETWEEN = ("between_least_minutes", "between_median_minutes")


def change_settings(session: Session, event_id: int, values: dict[str, Any], *, acting: Acting) -> Event:
    """Set what VALUES names, all or nothing; a value that stays the same is not written.

    A currency does not change under amounts, nor a zone under an order of play.
    """
    event = lock_event(session, event_id)
    _require_known(values)
    clean = {name: value.strip() if isinstance(value, str) else value for name, value in values.items()}
    changed = {name: value for name, value in clean.items() if getattr(event, name) != value}
    if not changed:
        return event
    _require_sound(changed)
    _require_changeable(session, event, changed)
    _require_median_after_least(event, changed)
    if "time_zone" in changed:
        _keep_wall_clock(session, event, changed["time_zone"])
    for name, value in changed.items():
        setattr(event, name, value)
    said = "; ".join(f"{SETTINGS[name].help}: {_said(value)}" for name, value in changed.items())
    log_change(session, event, acting, said, subject="settings", plan=any(SETTINGS[name].plan for name in changed))
    return event


def _require_known(values: dict[str, Any]) -> None:
    unknown = sorted(set(values) - set(SETTINGS))
    if unknown:
        raise BadInput(f"There is no setting {', '.join(unknown)}; choose one of the settings shown.")


def _require_sound(values: dict[str, Any]) -> None:
    faults = {name: fault for name, value in values.items() if (fault := SETTINGS[name].kind.fault(value))}
    if faults:
        said = "; ".join(f"{SETTINGS[name].help}: {fault}" for name, fault in faults.items())
        raise BadInput(f"These settings cannot stand: {said}", fields=faults)


def _require_median_after_least(event: Event, changed: dict[str, Any]) -> None:
    least, median = (changed.get(name, getattr(event, name)) for name in _BETWEEN)
    if median < least:
        raise BadInput(
            f"Between two matches half cannot take less than {median} minutes when 19 of 20 take more than {least}.",
            fields={_BETWEEN[1]: f"at least {least}"},
        )


def _require_changeable(session: Session, event: Event, changed: dict[str, Any]) -> None:
    if "currency" in changed and _has_rows(session, event, (Charge, Settlement)):
        raise Conflict(
            f"Amounts in {event.currency} are written already, so the currency stays; make a new event for another."
        )
    if "time_zone" in changed and _has_rows(session, event, (Match, Job)):
        raise Conflict("Matches and jobs stand in this time zone already; make a new event for another zone.")


def _has_rows(session: Session, event: Event, tables: Sequence[Any]) -> bool:
    return any(session.scalar(select(t.id).where(t.event_id == event.id).limit(1)) is not None for t in tables)


def _keep_wall_clock(session: Session, event: Event, zone: str) -> None:
    """Move the hours of desk, team and machines so that they read the same in the new zone."""
    old, new = EventClock(event.time_zone, date(2000, 1, 1)), EventClock(zone, date(2000, 1, 1))

    def moved(at: datetime) -> datetime:
        local = old.local(at)
        return new.parse(f"{local:%H:%M}", local.date())

    for day in session.scalars(select(EventDay).where(EventDay.event_id == event.id)):
        day.opens_at, day.closes_at = moved(day.opens_at), moved(day.closes_at)
    shifts = select(Shift).join(Stringer, Stringer.id == Shift.stringer_id).where(Stringer.event_id == event.id)
    hours = select(ServiceHours).join(Machine, Machine.id == ServiceHours.machine_id)
    for span in [*session.scalars(shifts), *session.scalars(hours.where(Machine.event_id == event.id))]:
        span.from_at, span.to_at = moved(span.from_at), moved(span.to_at)


def _said(value: Any) -> str:
    return ("yes" if value else "no") if isinstance(value, bool) else str(value)


def set_day_hours(
    session: Session, event_id: int, day_id: int, opens_at: datetime, closes_at: datetime, *, acting: Acting
) -> EventDay:
    """Set when the desk opens and closes on one day; a closed day stays as it is."""
    event, day = lock_and_find(session, event_id, EventDay, day_id, "day")
    clock = EventClock(event.time_zone, day.date)
    if day.closed_at is not None:
        raise Conflict(f"{clock.day_name(day.date)} is closed; its hours stay.")
    if closes_at <= opens_at:
        raise BadInput("The desk must close after it opens.", fields={"closes": "give a later time"})
    if clock.local(opens_at).date() != day.date:
        raise BadInput(
            f"The desk of {clock.day_name(day.date)} must open on that day.", fields={"opens": "a time of that day"}
        )
    day.opens_at, day.closes_at = opens_at, closes_at
    hours = f"{clock.local(opens_at):%H:%M} to {clock.local(closes_at):%H:%M}"
    log_change(session, event, acting, f"Desk open on {clock.day_name(day.date)}: {hours}", subject="settings")
    return day
