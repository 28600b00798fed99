"""From when on a racquet in the records is strung fresh enough."""

from __future__ import annotations

from datetime import datetime

from desk.models import Event, Job
from desk.trade.play.needed_by import fresh_from


def fresh_from_of(event: Event, job: Job) -> datetime | None:
    """Return before when the job is better not strung; None for one from the court, or without a time."""
    needed_at = None if job.on_court else job.needed_by_at
    return fresh_from(needed_at, event.fresh_within_hours, as_fresh=job.card is not None and job.card.as_fresh)
