"""Promises to be told anew since they break or could be sooner, and racquets whose time was never told."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session, joinedload

from desk.models import Assignment, Event, Job, Player
from desk.queries.machines.readings_due import ReadingsDue, readings_due
from desk.queries.plan.stranded import standing_still
from desk.queries.plan.workload_jobs import open_promises
from desk.queries.promise.promises import place_stands
from desk.queries.promise.promises_so_far import promises_so_far
from desk.trade.bench.promise import SOONER_BY, STEP


@dataclass(frozen=True, kw_only=True)
class BendingPromise:
    """A promise to be told anew: what was told, when it is likely to be ready, and what would be told now.

    `promised_at` is None where nothing was told yet. `is_lost` says that it waits, and begun now it would still break.
    """

    job_id: int
    code: str
    player: str
    racquet_number: int
    promised_at: datetime | None
    likely_at: datetime
    tell_at: datetime
    is_lost: bool = False

    @property
    def is_sooner(self) -> bool:
        return self.promised_at is not None and self.tell_at < self.promised_at


def bending_promises(session: Session, event: Event, at: datetime) -> list[BendingPromise]:
    """Return the promises of the plan in force that bend at AT, the soonest first; those to be told later stand first.

    What waits for the first reading of a machine today, or stands still on a machine, has no time to tell.
    The number of SQL statements is fixed.
    """
    promised, so_far = open_promises(session, event), promises_so_far(session, event)
    due, still = readings_due(session, event, at), standing_still(session, event, at)
    found = (
        select(Job, Player.called, Assignment)
        .join(Player, Player.id == Job.player_id)
        .join(Assignment, Assignment.job_id == Job.id)
        .options(joinedload(Job.racquet))
        .where(place_stands(event), Job.state.in_(("waiting", "on_machine")))
        .order_by(Assignment.start_at, Job.id)
    )
    rows: list[BendingPromise] = []
    ahead: dict[int, int] = defaultdict(int)
    for job, player, place in session.execute(found):
        before = ahead[place.stringer_id]
        ahead[place.stringer_id] += 1
        if job.id in still or due.hold_up(place.start_at, job.not_before_at):
            continue
        if job.id not in promised and not _came_early(job, due):
            continue
        told = so_far.tell(
            max(place.end_at, at),
            jobs_ahead=before,
            minutes=job.house_minutes,
            needed_by_at=job.needed_by_at,
            on_court=job.on_court,
        )
        row = BendingPromise(
            job_id=job.id,
            code=job.code,
            player=player,
            racquet_number=job.racquet.number,
            promised_at=promised.get(job.id),
            likely_at=told.likely_at,
            tell_at=told.ready_at,
            is_lost=_is_lost(job, place, promised.get(job.id), at),
        )
        if _bends(row):
            rows.append(row)
    return sorted(rows, key=lambda row: (row.is_sooner, row.promised_at or row.tell_at, row.code))


def _is_lost(job: Job, place: Assignment, promised_at: datetime | None, at: datetime) -> bool:
    begun_now = max(at, job.not_before_at or at) + (place.end_at - place.start_at)
    return job.state == "waiting" and promised_at is not None and begun_now > promised_at


def _came_early(job: Job, due: ReadingsDue) -> bool:
    """Tell whether it waits and came before the first reading of the day, when no time could be told."""
    return job.state == "waiting" and due.first_at is not None and job.dropped_at < due.first_at


def _bends(row: BendingPromise) -> bool:
    if row.promised_at is None:
        return True
    if row.promised_at - row.tell_at >= SOONER_BY:
        return True
    return row.likely_at > row.promised_at and row.tell_at - row.promised_at >= STEP
