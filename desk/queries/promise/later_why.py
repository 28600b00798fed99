"""Why a racquet comes later than its player was told, as far as the desk knows: told with the new time."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Absence, Assignment, Event, Job, Machine, Outage, Stringer
from desk.queries.spans import holds

AWAY, OUT = "a stringer is away", "a machine is out of service"
COURT = "racquets from a match in play came in"
NOT_KNOWN = "it takes longer than we thought"


class LaterWhy:
    """What fell away or came in between since a time was told; read once for all racquets.

    It names what is true of the desk since then: a stringer or a machine that fell away unforeseen and is not back, a
    racquet from a match in play that came since and goes before it at its bench.
    """

    def __init__(self, session: Session, event: Event, at: datetime) -> None:
        away = select(Absence).join(Stringer, Stringer.id == Absence.stringer_id).where(Stringer.event_id == event.id)
        out = select(Outage).join(Machine, Machine.id == Outage.machine_id).where(Machine.event_id == event.id)
        self.away = [one.from_at for one in session.scalars(away) if one.begun and holds(one, at)]
        self.out = [one.from_at for one in session.scalars(out) if one.begun and holds(one, at)]
        planned = select(Assignment).where(Assignment.run_id == (event.current_run_id or 0))
        self.places = {one.job_id: one for one in session.scalars(planned)}
        from_court = Job.on_court & Job.state.in_(("waiting", "on_machine"))
        came = select(Job).where(Job.event_id == event.id, from_court)
        self.came = {one.id: one.wanted_since for one in session.scalars(came)}

    def of(self, job: Job) -> str:
        """Return the reason in words for the player; a neutral one where the cause is not known."""
        if not job.promises:
            return ""
        told_at = job.promises[-1].given_at
        if any(since >= told_at for since in self.away):
            return AWAY
        if any(since >= told_at for since in self.out):
            return OUT
        return COURT if self._overtaken(job, told_at) else NOT_KNOWN

    def _overtaken(self, job: Job, told_at: datetime) -> bool:
        place = self.places.get(job.id)
        if place is None:
            return False
        ahead = (self.places.get(one) for one, since in self.came.items() if since >= told_at and one != job.id)
        return any(
            one is not None and one.stringer_id == place.stringer_id and one.start_at < place.start_at for one in ahead
        )
