"""Who may plan an event: one planner at a time, by a lease that runs out when it is not renewed; and heart-beats."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from desk.models import PlannerBeat, PlannerLease
from desk.services.acting import lock_event

FORGOTTEN_AFTER = timedelta(hours=1)


def take_lease(session: Session, event_id: int, holder: str, *, real_now: datetime, seconds: float) -> bool:
    """Take or renew the right to plan an event; False when another planner has it.

    Parameters
    ----------
    holder : str
        Unique for each planner process.
    real_now : datetime
        Real time, UTC: leases do not follow a demo's fast clock.
    seconds : float
        How long the lease lasts without renewal.
    """
    lock_event(session, event_id)
    lease = session.scalar(select(PlannerLease).where(PlannerLease.event_id == event_id))
    until = real_now + timedelta(seconds=seconds)
    if lease is None:
        session.add(PlannerLease(event_id=event_id, holder=holder, until_at=until))
        return True
    # A lease that lasts longer than any can was given by a clock that has been set back since.
    if lease.holder != holder and real_now < lease.until_at <= until + timedelta(seconds=seconds):
        return False
    lease.holder, lease.until_at = holder, until
    return True


def renew_lease(session: Session, event_id: int, holder: str, *, real_now: datetime, seconds: float) -> None:
    """Let the lease last on while its holder works; one that another planner took meanwhile stays with that one."""
    own = (PlannerLease.event_id == event_id, PlannerLease.holder == holder)
    session.execute(update(PlannerLease).where(*own).values(until_at=real_now + timedelta(seconds=seconds)))


def give_up_lease(session: Session, event_id: int, holder: str) -> None:
    """Free the event for another planner at once."""
    session.execute(delete(PlannerLease).where(PlannerLease.event_id == event_id, PlannerLease.holder == holder))


def beat(session: Session, holder: str, *, real_now: datetime) -> None:
    """Count one more beat of HOLDER; rows of planners that ended long ago go."""
    row = session.scalar(select(PlannerBeat).where(PlannerBeat.holder == holder))
    if row is None:
        session.execute(delete(PlannerBeat).where(PlannerBeat.at < real_now - FORGOTTEN_AFTER))
        session.add(PlannerBeat(holder=holder, beats=1, at=real_now))
        return
    row.beats, row.at = row.beats + 1, real_now


def end_beats(session: Session, holder: str) -> None:
    """Take the heart-beat of a planner that ends out of the records."""
    session.execute(delete(PlannerBeat).where(PlannerBeat.holder == holder))
