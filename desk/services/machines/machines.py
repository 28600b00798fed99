"""Machines: what they are, and when they are in service."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial

from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, Machine, Outage, ServiceHours
from desk.queries.machines.machines import current_outage, hours_by_day, whole
from desk.queries.spans import Span, joined
from desk.services.acting import Acting, lock_and_find, lock_event, log_change
from desk.services.form_values import change, chosen_code, codes_of, next_position, refuse, require_hours, values_of
from desk.trade.event.event_time import EventClock
from desk.trade.racquet.value_kinds import REACH_CM

_log = partial(log_change, subject="machines")

KINDS = ("constant_pull", "lockout", "drop_weight")


@dataclass(frozen=True, kw_only=True)
class MachineForm:
    """What the desk enters about a machine; `reach_cm` is the length of string from frame to gripper."""

    name: str
    kind: str
    code: str = ""
    reach_cm: float = 35.0


def add_machine(session: Session, event_id: int, form: MachineForm, *, acting: Acting) -> Machine:
    """Add a machine to the event; it stands last in the desk's order."""
    event = lock_event(session, event_id)
    _require_machine(form)
    code = chosen_code(form.code, codes_of(session, event, Machine), "M", "machine", digits=2)
    position = next_position(session, event, Machine)
    machine = Machine(event_id=event.id, position=position, **values_of(form) | {"code": code})
    session.add(machine)
    _log(session, event, acting, f"{machine.name} added ({machine.kind.replace('_', ' ')})")
    return machine


def edit_machine(session: Session, event_id: int, machine_id: int, form: MachineForm, *, acting: Acting) -> Machine:
    """Change the name, kind or reach of a machine; its code stays."""
    event, machine = lock_and_find(session, event_id, Machine, machine_id, "machine")
    _require_machine(form)
    change(machine, values_of(form, "code"))
    _log(session, event, acting, f"{machine.code} changed: {machine.name}, {machine.kind.replace('_', ' ')}")
    return machine


def _require_machine(form: MachineForm) -> None:
    faults = {}
    if not form.name.strip():
        faults["name"] = "say what the machine is called, such as Bench 3"
    if form.kind not in KINDS:
        faults["kind"] = "choose constant pull, lockout or drop weight"
    if fault := REACH_CM.fault(form.reach_cm):
        faults["reach_cm"] = fault
    refuse(faults, "This machine cannot be saved like this")


def set_hours_of_day(
    session: Session, event_id: int, machine_id: int, day: date, spans: Sequence[Span] | None, *, acting: Acting
) -> Machine:
    """Set when a machine is in service on one day of the event (None: all day); the other days stay."""
    event, machine = lock_and_find(session, event_id, Machine, machine_id, "machine")
    require_hours(spans or (), field="hours", what="Hours")
    days = hours_by_day(session, event, machine)
    if day not in {one.date for one, _ in days}:
        raise BadInput(f"{day:%d %B} is no day of this event.", fields={"day_id": "choose a day of the event"})
    wanted = {one: list(hours) for one, hours in days}
    wanted |= {one: [whole(one)] if spans is None else list(spans) for one in wanted if one.date == day}
    every = [span for hours in wanted.values() for span in hours]
    if not every:
        raise BadInput(
            f"{machine.name} would have no hours on any day; take it out of service instead.",
            fields={"hours": "give hours on one day at least"},
        )
    _set_services(session, machine, [] if all(hours == [whole(one)] for one, hours in wanted.items()) else every)
    _log(session, event, acting, f"{machine.name} on {day:%a} {day.day} {day:%b}: {_hours_said(event, spans)}")
    return machine


def _set_services(session: Session, machine: Machine, spans: Sequence[Span]) -> None:
    machine.services = [ServiceHours(from_at=from_at, to_at=to_at) for from_at, to_at in joined(spans)]
    session.flush()


def _hours_said(event: Event, spans: Sequence[Span] | None) -> str:
    if spans is None:
        return "in service all day"
    clock = EventClock(event.time_zone, event.days[0].date)
    said = ", ".join(f"{clock.local(start):%H:%M}–{clock.local(end):%H:%M}" for start, end in sorted(spans))
    return f"in service {said}" if said else "not in service"


def take_out_of_service(
    session: Session,
    event_id: int,
    machine_id: int,
    *,
    acting: Acting,
    reason: str,
    from_at: datetime | None = None,
    back_at: datetime | None = None,
) -> Outage:
    """Take a machine out of service, from now unless a time is given, until `back_at` or until somebody ends it.

    `back_at` is expected: the plan counts with it, and it moves on until somebody says that the machine is back.
    """
    event, machine = lock_and_find(session, event_id, Machine, machine_id, "machine")
    begins = from_at or acting.at
    if not reason.strip():
        raise BadInput("Say what is wrong with the machine.", fields={"reason": "say what is wrong"})
    if back_at is not None and back_at <= begins:
        raise BadInput("It must be back after it went out.", fields={"back_at": "give a later time"})
    outage = current_outage(machine, begins)
    if outage is not None:
        outage.to_at, outage.reason = back_at, reason.strip()
    else:
        at_once = begins <= acting.at
        outage = Outage(from_at=begins, to_at=back_at, begun=at_once, reason=reason.strip(), by=acting.by)
        machine.outages.append(outage)
    until = "" if back_at is None else ", expected back at a time that is named"
    _log(session, event, acting, f"{machine.name} is out of service: {reason.strip()}{until}")
    return outage


def put_back_in_service(session: Session, event_id: int, machine_id: int, *, acting: Acting) -> Machine:
    """End every outage that holds now; if there is none, take back those to come that have no end."""
    event, machine = lock_and_find(session, event_id, Machine, machine_id, "machine")
    outage = current_outage(machine, acting.at)
    if outage is None:
        return _call_off_outages(session, event, machine, acting)
    while outage is not None:
        outage.to_at, outage.over, outage.last_reading_id = acting.at, True, _last_reading(machine)
        outage = current_outage(machine, acting.at)
    _log(session, event, acting, f"{machine.name} is back in service")
    return machine


def note_move(session: Session, event_id: int, machine_id: int, *, acting: Acting) -> Machine:
    """Note that a machine was moved: where the event asks for calibrations it is read before its next racquet."""
    event, machine = lock_and_find(session, event_id, Machine, machine_id, "machine")
    moved = Outage(from_at=acting.at, to_at=acting.at, over=True, reason="moved", by=acting.by)
    moved.last_reading_id = _last_reading(machine)
    machine.outages.append(moved)
    _log(session, event, acting, f"{machine.name} was moved")
    return machine


def _last_reading(machine: Machine) -> int | None:
    """Return the number of the newest reading: what was read until now counts no more after a repair or a move."""
    return max((one.id for one in machine.calibrations), default=None)


def _call_off_outages(session: Session, event: Event, machine: Machine, acting: Acting) -> Machine:
    to_come = [one for one in machine.outages if one.from_at > acting.at and one.to_at is None]
    if not to_come:
        raise Conflict(f"{machine.name} is in service already.")
    machine.outages = [one for one in machine.outages if one not in to_come]
    _log(session, event, acting, f"{machine.name} stays in service after all")
    return machine
