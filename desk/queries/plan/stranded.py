"""Racquets on a machine that is out, or with a stringer who is away: somebody must say what becomes of each."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session, joinedload, selectinload

from desk.models import Event, Job, JobCard, Machine, Stringer
from desk.queries.machines.machines import current_outage
from desk.queries.plan.who_may import is_gut, why_not
from desk.queries.team.team import absence_at, stringers_of, windows_of


@dataclass(frozen=True, kw_only=True)
class Stranded:
    """A racquet that nobody works on; `others` are those who could finish it where it is, by id and name.

    `by_machine` says that its machine is out, so that nobody can finish it there. Where nobody is free, `first_free`
    is who comes free first, and may string it.
    """

    job_id: int
    code: str
    player: str
    racquet_number: int
    why: str
    since_at: datetime | None
    others: tuple[tuple[int, str], ...]
    by_machine: bool = False
    first_free: str = ""
    first_free_at: datetime | None = None


def stranded(session: Session, event: Event, at: datetime) -> list[Stranded]:
    """Return the racquets that were begun and stand still at AT, in the order of their tags."""
    strings = joinedload(Job.card).options(joinedload(JobCard.mains_string), joinedload(JobCard.crosses_string))
    running = session.scalars(
        select(Job)
        .where(Job.event_id == event.id, Job.state == "on_machine")
        .options(joinedload(Job.player), joinedload(Job.racquet), strings)
        .order_by(Job.serial)
    ).all()
    team = {one.id: one for one in stringers_of(session, event)}
    benches = select(Machine).where(Machine.event_id == event.id).options(selectinload(Machine.outages))
    machines = {one.id: one for one in session.scalars(benches)}
    busy = {job.stringer_id for job in running}
    free = [one for one in team.values() if one.id not in busy and _is_at_work(one, at)]
    ends = sorted(
        (job.expected_end_at, job.stringer_id)
        for job in running
        if job.expected_end_at is not None and job.stringer_id in team and _is_at_work(team[job.stringer_id], at)
    )
    found = []
    for job in running:
        person, machine = team.get(job.stringer_id or 0), machines.get(job.machine_id or 0)
        is_away = person is not None and absence_at(person, at) is not None
        is_out = machine is not None and current_outage(machine, at) is not None
        if not is_away and not is_out:
            continue
        why = f"{machine.name} is out" if is_out and machine else f"{person.name if person else 'The stringer'} is away"
        soon = [] if is_out else [one for one in ends if _may(team[one[1]], job)]
        found.append(
            Stranded(
                job_id=job.id,
                code=job.code,
                player=job.player.called,
                racquet_number=job.racquet.number,
                why=why,
                since_at=job.started_at,
                by_machine=is_out,
                others=() if is_out else tuple((one.id, one.name) for one in free if _may(one, job)),
                first_free=team[soon[0][1]].name if soon else "",
                first_free_at=max(soon[0][0], at) if soon else None,
            )
        )
    return found


def _is_at_work(person: Stringer, at: datetime) -> bool:
    return absence_at(person, at) is None and any(start <= at < end for start, end in windows_of(person, at))


def _may(person: Stringer, job: Job) -> bool:
    return not why_not(person, gut=is_gut(job), on_court=job.on_court)
