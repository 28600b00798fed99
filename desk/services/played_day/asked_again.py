"""Players who come at the promised time and are told a later one when their racquet is not ready."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import DeskError
from desk.models import Event, Job
from desk.queries.promise.promises_so_far import promises_so_far
from desk.services.acting import Acting
from desk.services.promise.telling import tell_later

OPEN = ("waiting", "on_machine")


class AskedAgain:
    """Renews a promise from the plan in force once its time has come without the racquet."""

    def __init__(self, event_id: int) -> None:
        self.event_id = event_id
        self._not_now: set[tuple[int, datetime]] = set()

    def next_at(self, session: Session, now: datetime) -> datetime | None:
        """Return when the next promise comes due, not before NOW."""
        due = [ready_at for job_id, ready_at in self._due(session) if (job_id, ready_at) not in self._not_now]
        return max(now, min(due)) if due else None

    def act(self, session: Session, at: datetime) -> list[str]:
        """Tell a later time to everybody whose promise has come due AT; one that cannot be told is left."""
        due = [one for one in self._due(session) if one[1] <= at and one not in self._not_now]
        so_far = promises_so_far(session, session.get_one(Event, self.event_id)) if due else None
        for job_id, ready_at in due:
            self._not_now.add((job_id, ready_at))
            try:
                with session.begin_nested():
                    acting = Acting(by="front desk", at=at)
                    tell_later(session, self.event_id, job_id, acting=acting, so_far=so_far)
            except DeskError:
                continue
        return []

    def _due(self, session: Session) -> list[tuple[int, datetime]]:
        found = select(Job.id, Job.promised_at).where(Job.event_id == self.event_id, Job.state.in_(OPEN))
        found = found.where(Job.promises.any()).order_by(Job.id)
        return [(job_id, ready_at) for job_id, ready_at in session.execute(found)]
