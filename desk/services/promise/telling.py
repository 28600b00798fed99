"""New ready times told in time: by one touch of the lead, or by the desk itself where the event asks for it."""

from __future__ import annotations

from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Event, Job, Promise
from desk.queries.finding import find_of
from desk.queries.promise.bending import BendingPromise, bending_promises
from desk.queries.promise.later_why import LaterWhy
from desk.queries.promise.promises_so_far import PromisesSoFar
from desk.services.acting import Acting, lock_event
from desk.services.promise.promises import renew_promise

SOONER = "there is time for it sooner"


def tell_new_time(session: Session, event_id: int, job_id: int, *, acting: Acting) -> Promise:
    """Tell one player the new time of a racquet whose promise bends; refused when it does not bend (any more)."""
    event = lock_event(session, event_id)
    find_of(session, event, Job, job_id, "job")
    row = next((one for one in bending_promises(session, event, acting.at) if one.job_id == job_id), None)
    if row is None:
        raise Conflict("This promise holds again; there is nothing to tell.")
    return _tell(session, event, row, LaterWhy(session, event, acting.at), acting)


def tell_later(
    session: Session, event_id: int, job_id: int, *, acting: Acting, so_far: PromisesSoFar | None = None
) -> Promise:
    """Tell the later time that the plan gives, with its reason, to whoever asks or is to be told by hand."""
    event = lock_event(session, event_id)
    why = LaterWhy(session, event, acting.at).of(find_of(session, event, Job, job_id, "job"))
    return renew_promise(session, event_id, job_id, acting=acting, reason=why, so_far=so_far)


def tell_all_new_times(session: Session, event_id: int, *, acting: Acting) -> list[Promise]:
    """Tell every player whose promise bends, in one touch."""
    return _tell_all(session, lock_event(session, event_id), acting)


def tell_new_times(session: Session, event: Event, *, acting: Acting) -> list[Promise]:
    """Tell every player whose promise bends, where the event asks for it; else nobody."""
    return _tell_all(session, event, acting) if event.tells_new_times else []


def _tell_all(session: Session, event: Event, acting: Acting) -> list[Promise]:
    rows = bending_promises(session, event, acting.at)
    why = LaterWhy(session, event, acting.at) if rows else None
    return [] if why is None else [_tell(session, event, row, why, acting) for row in rows]


def _tell(session: Session, event: Event, row: BendingPromise, why: LaterWhy, acting: Acting) -> Promise:
    reason = SOONER if row.is_sooner else why.of(session.get_one(Job, row.job_id))
    return renew_promise(session, event.id, row.job_id, acting=acting, ready_at=row.tell_at, reason=reason)
