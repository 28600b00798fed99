"""What each machine has done since its checks, which of them are due, and what was done before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import and_, func, select
from sqlalchemy.orm import Session, joinedload

from desk.models import Event, Job, Machine, MachineCare, MachineCheck, StateChange
from desk.queries.row_making import grouped, row_of
from desk.trade.bench.care_intervals import share_used

HISTORY = 30
Strung = list[tuple[int, float]]
"""The change by which each racquet was finished on a machine, with the hours that it was on it."""


@dataclass(frozen=True, kw_only=True)
class CheckRow:
    """One check of one machine, with racquets and hours since it was done last, or since the event began.

    `share` is how much of its interval is used, 1 and more is due.
    """

    check_id: int
    name: str
    note: str
    every_racquets: int | None
    every_hours: int | None
    racquets: int
    hours: float
    share: float
    done_at: datetime | None
    done_by: str

    @property
    def due(self) -> bool:
        return self.share >= 1


@dataclass(frozen=True, kw_only=True)
class WearRow:
    """One machine: all that it did at this event, and its checks, the nearest first."""

    machine_id: int
    name: str
    racquets: int
    hours: float
    checks: tuple[CheckRow, ...]

    @property
    def due(self) -> tuple[CheckRow, ...]:
        return tuple(check for check in self.checks if check.due)


@dataclass(frozen=True, kw_only=True)
class CareRow:
    """A check that was done, or noted so and taken back."""

    care_id: int
    machine_id: int
    machine: str
    check: str
    at: datetime
    by: str
    note: str
    undone_by: str


def wear_rows(session: Session, event: Event) -> list[WearRow]:
    """Return every machine in the desk's order with its checks; the number of statements is fixed."""
    machines = session.execute(
        select(Machine.id, Machine.name).where(Machine.event_id == event.id).order_by(Machine.position, Machine.code)
    ).all()
    checks, strung, done = check_list(session, event), _strung(session, event), _done(session, event)
    return [
        _wear_row(machine_id, name, standing(checks, machine_id), strung[machine_id], done)
        for machine_id, name in machines
    ]


def check_list(session: Session, event: Event) -> Sequence[MachineCheck]:
    """Return the event's list of checks, those for all machines first."""
    found = select(MachineCheck).where(MachineCheck.event_id == event.id, MachineCheck.dropped_at.is_(None))
    return session.scalars(found.order_by(MachineCheck.machine_id.is_not(None), MachineCheck.id)).all()


def standing(checks: Sequence[MachineCheck], machine_id: int) -> list[MachineCheck]:
    """Return the checks that hold for a machine: one of its own stands in place of the general one of that name."""
    found = {check.name.casefold(): check for check in checks if check.machine_id is None}
    found |= {check.name.casefold(): check for check in checks if check.machine_id == machine_id}
    return list(found.values())


def care_rows(session: Session, event: Event, *, machine_id: int | None = None, most: int = HISTORY) -> list[CareRow]:
    """Return what was done to the machines, or to one of them, the newest first."""
    found = (
        select(MachineCare, Machine.name)
        .join(Machine, Machine.id == MachineCare.machine_id)
        .where(Machine.event_id == event.id)
        .options(joinedload(MachineCare.check))
        .order_by(MachineCare.id.desc())
        .limit(most)
    )
    if machine_id is not None:
        found = found.where(Machine.id == machine_id)
    return [
        row_of(CareRow, one, care_id=one.id, machine=name, check=one.check.name) for one, name in session.execute(found)
    ]


def newest_change(session: Session, event: Event) -> int | None:
    """Return the newest change of a racquet: what comes later has a higher number, whatever the clock says."""
    found = select(StateChange.id).join(Job, Job.id == StateChange.job_id).where(Job.event_id == event.id)
    return session.scalar(found.order_by(StateChange.id.desc()).limit(1))


def _strung(session: Session, event: Event) -> dict[int, Strung]:
    is_finish = and_(StateChange.from_state == "on_machine", StateChange.to_state == "strung")
    found = (
        select(Job.machine_id, Job.started_at, Job.finished_at, func.max(StateChange.id))
        .outerjoin(StateChange, and_(StateChange.job_id == Job.id, is_finish))
        .where(Job.event_id == event.id, Job.machine_id.is_not(None), Job.finished_at.is_not(None))
        .group_by(Job.id)
    )
    return grouped(
        (machine_id, (change_id or 0, (finished_at - started_at).total_seconds() / 3600 if started_at else 0.0))
        for machine_id, started_at, finished_at, change_id in session.execute(found)
    )


def _done(session: Session, event: Event) -> dict[tuple[int, str], MachineCare]:
    """Return the newest care that stands, by machine and the name of its check: a list that changed keeps it."""
    found = (
        select(MachineCare)
        .join(Machine, Machine.id == MachineCare.machine_id)
        .where(Machine.event_id == event.id, MachineCare.undone_at.is_(None))
        .options(joinedload(MachineCare.check))
        .order_by(MachineCare.id)
    )
    return {(one.machine_id, one.check.name.casefold()): one for one in session.scalars(found)}


def _wear_row(
    machine_id: int, name: str, checks: Sequence[MachineCheck], strung: Strung, done: dict[tuple[int, str], MachineCare]
) -> WearRow:
    rows = [_check_row(check, strung, done.get((machine_id, check.name.casefold()))) for check in checks]
    return WearRow(
        machine_id=machine_id,
        name=name,
        racquets=len(strung),
        hours=sum(hours for _, hours in strung),
        checks=tuple(sorted(rows, key=lambda row: -row.share)),
    )


def _check_row(check: MachineCheck, strung: Strung, care: MachineCare | None) -> CheckRow:
    after = care.after_change_id or 0 if care else -1
    since = [hours for change_id, hours in strung if change_id > after]
    return row_of(
        CheckRow,
        check,
        check_id=check.id,
        racquets=len(since),
        hours=sum(since),
        share=share_used(len(since), sum(since), check.every_racquets, check.every_hours),
        done_at=care.at if care else None,
        done_by=care.by if care else "",
    )
