"""New ready times told in time: by one touch of the lead, or by the desk itself where the event asks for it."""

from __future__ import annotations

from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Event, Job, Promise
from desk.queries.finding import find_of
from desk.queries.promise.bending import BendingPromise, bending_promises
from desk.services.acting import Acting, lock_event
from desk.services.promise.promises import renew_promise

LATER, SOONER, FIRST = "the desk fell behind", "there is time for it sooner", ""


def tell_new_time(session: Session, event_id: int, job_id: int, *, acting: Acting) -> Promise:
    """Tell one player the new time of a racquet whose promise bends; refused when it does not bend (any more)."""
    event = lock_event(session, event_id)
    find_of(session, event, Job, job_id, "job")
    row = next((one for one in bending_promises(session, event, acting.at) if one.job_id == job_id), None)
    if row is None:
        raise Conflict("This promise holds again; there is nothing to tell.")
    return _tell(session, event, row, acting)


def tell_all_new_times(session: Session, event_id: int, *, acting: Acting) -> list[Promise]:
    """Tell every player whose promise bends, in one touch."""
    event = lock_event(session, event_id)
    return [_tell(session, event, row, acting) for row in bending_promises(session, event, acting.at)]


def tell_new_times(session: Session, event: Event, *, acting: Acting) -> list[Promise]:
    """Tell every player whose promise bends, where the event asks for it; else nobody."""
    if not event.tells_new_times:
        return []
    return [_tell(session, event, row, acting) for row in bending_promises(session, event, acting.at)]


def _tell(session: Session, event: Event, row: BendingPromise, acting: Acting) -> Promise:
    reason = SOONER if row.is_sooner else FIRST if row.promised_at is None else LATER
    return renew_promise(session, event.id, row.job_id, acting=acting, ready_at=row.tell_at, reason=reason)
