"""A check of a machine is done, or was not after all."""

from __future__ import annotations

from functools import partial

from sqlalchemy.orm import Session

from desk.errors import Conflict, NotFound
from desk.models import Machine, MachineCare
from desk.queries.finding import find, find_of
from desk.queries.machines.wear import check_list, newest_change, standing
from desk.services.acting import Acting, lock_and_find, lock_event, log_change

_log = partial(log_change, subject="machines", plan=False)


def note_care(
    session: Session, event_id: int, machine_id: int, check_id: int, note: str = "", *, acting: Acting
) -> MachineCare:
    """Note that a check of a machine is done; its racquets and hours count from here.

    Refused when the check is not one of this machine's.
    """
    event, machine = lock_and_find(session, event_id, Machine, machine_id, "machine")
    check = next((one for one in standing(check_list(session, event), machine.id) if one.id == check_id), None)
    if check is None:
        raise NotFound(f"{machine.name} has no such check (any more); look at its list again.")
    care = MachineCare(
        machine_id=machine.id,
        check_id=check.id,
        at=acting.at,
        by=acting.by,
        note=note.strip(),
        after_change_id=newest_change(session, event),
    )
    session.add(care)
    said = f": {care.note}" if care.note else ""
    _log(session, event, acting, f"{machine.name}: {check.name} done{said}")
    return care


def take_care_back(session: Session, event_id: int, care_id: int, *, acting: Acting) -> MachineCare:
    """Take back that a check was done: what it counts from is the one before."""
    event = lock_event(session, event_id)
    care = find(session, MachineCare, care_id, "check that was done")
    machine = find_of(session, event, Machine, care.machine_id, "machine")
    if care.undone_at is not None:
        raise Conflict(f"{care.undone_by} took this back already.")
    care.undone_at, care.undone_by = acting.at, acting.by
    _log(session, event, acting, f"{machine.name}: {care.check.name} was not done after all")
    return care
