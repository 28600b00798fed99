"""Ready times that do not stand: nobody can say when the racquet will be ready before somebody decides."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Player, Racquet
from desk.queries.plan.planned_place import unplaced
from desk.queries.plan.stranded import standing_still


@dataclass(frozen=True, kw_only=True)
class FallenPromise:
    """A promise of a racquet that has no place in the plan, and why it has none."""

    job_id: int
    code: str
    player: str
    racquet_number: int
    promised_at: datetime
    why: str


def open_times(session: Session, event: Event, at: datetime) -> dict[int, str]:
    """Return why the time of a racquet is open AT, by job; the number of statements is fixed."""
    held = select(Job.id, Job.held_reason).where(Job.event_id == event.id, Job.state == "held")
    found = {job_id: f"held, {reason}" if reason else "held" for job_id, reason in session.execute(held)}
    no_place = {
        job_id: f"no place in the plan yet: {why.rstrip('.')}" for job_id, why in unplaced(session, event).items()
    }
    return found | no_place | standing_still(session, event, at)


def fallen_promises(session: Session, event: Event) -> list[FallenPromise]:
    """Return the promises of racquets without a place in the plan, the soonest first."""
    why = unplaced(session, event)
    found = (
        select(Job.id, Job.code, Player.called, Racquet.number, Job.promised_at)
        .join(Player, Player.id == Job.player_id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .where(Job.id.in_(why), Job.promised_at.is_not(None))
        .order_by(Job.promised_at, Job.serial)
    )
    return [
        FallenPromise(job_id=job_id, code=code, player=player, racquet_number=number, promised_at=at, why=why[job_id])
        for job_id, code, player, number, at in session.execute(found)
    ]
