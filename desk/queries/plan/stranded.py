"""Racquets on a machine that is out, or with a stringer who is away: somebody must say what becomes of each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import or_, select
from sqlalchemy.orm import Session, joinedload, selectinload

from desk.models import Absence, Event, Job, JobCard, Machine, Outage, Stringer
from desk.queries.machines.machines import current_outage
from desk.queries.plan.who_may import is_gut, why_not
from desk.queries.spans import holds
from desk.queries.team.team import absence_at, stringers_of, windows_of


@dataclass(frozen=True, kw_only=True)
class Stranded:
    """A racquet that nobody works on; `others` are those who could finish it where it is, by id and name.

    `is_held` says that it was held half-strung, `by_machine` that nobody can finish it where it was begun: its machine
    is out, or holds another racquet. Where nobody is free, `first_free` is who comes free first, and may string it.
    """

    job_id: int
    code: str
    player: str
    racquet_number: int
    why: str
    since_at: datetime | None
    others: tuple[tuple[int, str], ...]
    is_held: bool = False
    by_machine: bool = False
    first_free: str = ""
    first_free_at: datetime | None = None


def standing_still(session: Session, event: Event, at: datetime) -> dict[int, str]:
    """Return why nobody works on a racquet that is on a machine at AT, by job, in one statement."""
    found = (
        select(Job.id, Machine.name, Outage, Stringer.name, Absence)
        .select_from(Job)
        .outerjoin(Stringer, Stringer.id == Job.stringer_id)
        .outerjoin(Absence, (Absence.stringer_id == Stringer.id) & Absence.over.is_(False))
        .outerjoin(Machine, Machine.id == Job.machine_id)
        .outerjoin(Outage, (Outage.machine_id == Machine.id) & Outage.over.is_(False))
        .where(Job.event_id == event.id, Job.state == "on_machine")
        .order_by(Job.id, Absence.from_at, Outage.from_at)
    )
    away, out = {}, {}
    for job_id, machine, outage, stringer, absence in session.execute(found):
        if absence is not None and holds(absence, at):
            away[job_id] = f"{stringer} is away"
        if outage is not None and holds(outage, at):
            out[job_id] = f"{machine} is out"
    return away | out


@dataclass(frozen=True)
class _Desk:
    """Who works where at the moment asked for."""

    at: datetime
    running: Sequence[Job]
    team: Mapping[int, Stringer]
    machines: Mapping[int, Machine]

    @property
    def free(self) -> list[Stringer]:
        busy = {job.stringer_id for job in self.running}
        return [one for one in self.team.values() if one.id not in busy and self.is_at_work(one.id)]

    @property
    def ends(self) -> list[tuple[datetime, int]]:
        """When those at work will have finished what they have, the first first."""
        found = ((job.expected_end_at, job.stringer_id) for job in self.running)
        return sorted((end, who) for end, who in found if end is not None and who is not None and self.is_at_work(who))

    def is_at_work(self, stringer_id: int) -> bool:
        person = self.team.get(stringer_id)
        if person is None or absence_at(person, self.at) is not None:
            return False
        return any(start <= self.at < end for start, end in windows_of(person, self.at))

    def why_not_there(self, job: Job) -> str:
        """Say why nobody can finish a racquet at the machine where it was begun, nothing where somebody can."""
        machine = self.machines.get(job.machine_id or 0)
        if machine is None or current_outage(machine, self.at) is not None:
            return f"{machine.name if machine else 'its machine'} is out"
        other = next((one for one in self.running if one.machine_id == machine.id and one is not job), None)
        return "" if other is None else f"{machine.name} holds {other.code}"


def stranded(session: Session, event: Event, at: datetime) -> list[Stranded]:
    """Return the racquets that stand still on a machine at AT, or are held half-strung, in the order of their tags."""
    strings = joinedload(Job.card).options(joinedload(JobCard.mains_string), joinedload(JobCard.crosses_string))
    half_strung = (Job.state == "held") & Job.started_at.is_not(None)
    begun = session.scalars(
        select(Job)
        .where(Job.event_id == event.id, or_(Job.state == "on_machine", half_strung))
        .options(joinedload(Job.player), joinedload(Job.racquet), strings)
        .order_by(Job.serial)
    ).all()
    benches = select(Machine).where(Machine.event_id == event.id).options(selectinload(Machine.outages))
    found = _Desk(
        at=at,
        running=[job for job in begun if job.state == "on_machine"],
        team={one.id: one for one in stringers_of(session, event)},
        machines={one.id: one for one in session.scalars(benches)},
    )
    still = standing_still(session, event, at)
    return [_asked(found, job, still.get(job.id, "")) for job in begun if job.id in still or job.is_half_strung]


def _asked(desk: _Desk, job: Job, why: str) -> Stranded:
    not_there = desk.why_not_there(job)
    if job.is_half_strung:
        why = f"{job.held_reason}; {not_there}" if not_there else job.held_reason
    soon = [] if not_there else [one for one in desk.ends if _may(desk.team[one[1]], job)]
    return Stranded(
        job_id=job.id,
        code=job.code,
        player=job.player.called,
        racquet_number=job.racquet.number,
        why=why,
        since_at=job.started_at,
        is_held=job.is_half_strung,
        by_machine=bool(not_there),
        others=() if not_there else tuple((one.id, one.name) for one in desk.free if _may(one, job)),
        first_free=desk.team[soon[0][1]].name if soon else "",
        first_free_at=max(soon[0][0], desk.at) if soon else None,
    )


def _may(person: Stringer, job: Job) -> bool:
    return not why_not(person, gut=is_gut(job), on_court=job.on_court)
