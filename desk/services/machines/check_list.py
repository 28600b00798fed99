"""The event's list of checks by interval: what it begins with, and how the lead changes it."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from functools import partial

from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, Machine, MachineCheck
from desk.queries.finding import find_of
from desk.queries.machines.wear import check_list
from desk.services.acting import Acting, lock_event, log_change
from desk.services.form_values import change, refuse, values_of
from desk.trade.bench.care_intervals import DEFAULTS, interval_faults

_log = partial(log_change, subject="machines", plan=False)


@dataclass(frozen=True, kw_only=True)
class CheckForm:
    """A check as it is entered; with a machine it stands there in place of the general one of its name."""

    name: str
    every_racquets: int | None = None
    every_hours: int | None = None
    note: str = ""
    machine_id: int | None = None


def begin_list(session: Session, event: Event) -> None:
    """Give a new event the usual checks."""
    session.add_all(MachineCheck(event_id=event.id, **asdict(check)) for check in DEFAULTS)


def add_check(session: Session, event_id: int, form: CheckForm, *, acting: Acting) -> MachineCheck:
    """Put a check on the list.

    Refused without a name or an interval, or when there is one of this name for the same machines.
    """
    event = lock_event(session, event_id)
    if form.machine_id is not None:
        find_of(session, event, Machine, form.machine_id, "machine")
    _require(session, event, form)
    check = MachineCheck(event_id=event.id, **values_of(form))
    session.add(check)
    _log(session, event, acting, f"{_said(check)} is on the list of checks")
    return check


def change_check(session: Session, event_id: int, check_id: int, form: CheckForm, *, acting: Acting) -> MachineCheck:
    """Change name, intervals or note of a check; for which machines it is stays."""
    event = lock_event(session, event_id)
    check = _on_list(session, event, check_id)
    _require(session, event, form, check)
    change(check, values_of(form, "machine_id"))
    _log(session, event, acting, f"{_said(check)} changed on the list of checks")
    return check


def drop_check(session: Session, event_id: int, check_id: int, *, acting: Acting) -> MachineCheck:
    """Take a check off the list; what was done stays in the history of the machines."""
    event = lock_event(session, event_id)
    check = _on_list(session, event, check_id)
    check.dropped_at = acting.at
    _log(session, event, acting, f"{check.name} taken off the list of checks")
    return check


def _on_list(session: Session, event: Event, check_id: int) -> MachineCheck:
    check = find_of(session, event, MachineCheck, check_id, "check")
    if check.dropped_at is not None:
        raise Conflict(f"{check.name} is off the list already.")
    return check


def _require(session: Session, event: Event, form: CheckForm, check: MachineCheck | None = None) -> None:
    refuse(interval_faults(form.name, form.every_racquets, form.every_hours), "This check cannot be kept like this")
    machine_id = form.machine_id if check is None else check.machine_id
    for one in check_list(session, event):
        same = one.name.casefold() == form.name.strip().casefold() and one.machine_id == machine_id
        if same and (check is None or one.id != check.id):
            raise BadInput(f"{one.name} is on the list already; change it there.", fields={"name": "is on the list"})


def _said(check: MachineCheck) -> str:
    racquets = f"{check.every_racquets} racquets" if check.every_racquets else ""
    hours = f"{check.every_hours} hours" if check.every_hours else ""
    return f"{check.name}, every {' or '.join(part for part in (racquets, hours) if part)}"
