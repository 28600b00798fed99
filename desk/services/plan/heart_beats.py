"""The heart-beat of a planner in the records: a number that grows while the planner is well."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from desk.models import PlannerBeat

FORGOTTEN_AFTER = timedelta(hours=1)


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
