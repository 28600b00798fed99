"""Machines not read yet today, or not since a repair or a move, and which racquets wait for nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from sqlalchemy.orm import Session

from desk.models import Event
from desk.queries.machines.machines import current_outage, fitness, machines_of, read_today
from desk.queries.team.team import work_windows

WAITS = "It waits for the first reading of a machine today."


@dataclass(frozen=True, kw_only=True)
class ReadingsDue:
    """The names of the machines that string nothing today before they are read, in the desk's order.

    `back_at` says when those of them came back that were not read since a repair or a move. `first_at` is when a
    machine was first read today. `stops_all_until` is the end of today, where no other machine may string either,
    though somebody is at work.
    """

    names: tuple[str, ...] = ()
    back_at: Mapping[str, datetime] = field(default_factory=dict)
    first_at: datetime | None = None
    stops_all_until: datetime | None = None

    def hold_up(self, start_at: datetime | None, not_before_at: datetime | None = None) -> bool:
        """Tell whether a racquet planned from START_AT is so late only because no machine is read."""
        until = self.stops_all_until
        if until is None or start_at is None or start_at < until:
            return False
        return not_before_at is None or not_before_at < until


NOT_DUE = ReadingsDue()


def readings_due(session: Session, event: Event, at: datetime) -> ReadingsDue:
    """Return which machines wait for their reading of today at AT; one that reads too far off waits for a repair."""
    today, read = read_today(session, event, at)
    if today is None:
        return NOT_DUE
    first_at = min((one.at for rows in read.values() for one in rows), default=None)
    there = [machine for machine in machines_of(session, event) if current_outage(machine, at) is None]
    found = [(machine, fitness(event, machine, read.get(machine.id, ()), today)) for machine in there]
    names = tuple(machine.name for machine, fit in found if not fit.fit and not fit.failed)
    back_at = {machine.name: fit.back_at for machine, fit in found if fit.back_at is not None}
    stops_all = bool(names) and not any(fit.fit for _, fit in found)
    at_work = stops_all and any(
        start < today.to_at and end > at for spans in work_windows(session, event, at).values() for start, end in spans
    )
    return ReadingsDue(
        names=names, back_at=back_at, first_at=first_at, stops_all_until=today.to_at if at_work else None
    )
