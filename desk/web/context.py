"""What a request knows: its event, the event's time, who acts, and its sessions.

One small statement brings the event's head and the standing of whoever is signed in; a fragment
that did not change is answered from it alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from copy import deepcopy
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from hashlib import sha256
from threading import BoundedSemaphore
from typing import Any, TypeVar

from flask import current_app, g, request, session
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session

from desk.errors import Busy, DeskError, NotFound
from desk.models import Event
from desk.models.database import Database
from desk.queries.event.head import Head, read_head
from desk.record_errors import BUSY
from desk.services.acting import Acting, event_now
from desk.services.team.accounts import token_hash
from desk.trade.event.event_time import EventClock, utc_now

LONGEST_GAP = timedelta(minutes=30)
Result = TypeVar("Result")


@dataclass(frozen=True)
class Actor:
    """Who is signed in: an account, or a stringer by PIN on a trusted device."""

    name: str
    role: str
    account_id: int | None = None
    stringer_id: int | None = None


def database() -> Database:
    return current_app.extensions["desk_database"]


def reading() -> Session:
    """Return the session in which this request looks things up; it ends with the request."""
    if "reading" not in g:
        g.reading = Session(database().engine)
    return g.reading


@contextmanager
def writing() -> Iterator[Session]:
    """Give the one transaction of this request; afterwards the request reads everything again.

    Only some of the threads may wait to write: the others go on serving those who look. Where it is refused, at its
    end too, nothing stays of what the session was to remember, such as that it was kept.
    """
    if "refused" in g:
        raise g.refused
    places: BoundedSemaphore = current_app.extensions["places_to_write"]
    if not places.acquire(blocking=False):
        raise Busy(BUSY)
    before = deepcopy(dict(session))
    try:
        with database().writing() as found:
            for begin in current_app.extensions["before_writing"]:
                begin(found)
            yield found
    except BaseException:
        session.clear()
        session.update(before)
        raise
    finally:
        places.release()
    if "reading" in g:
        g.reading.rollback()


def close_sessions(_error: BaseException | None = None) -> None:
    """Close what this request read in; that its connection is gone by now is nobody's fault any more."""
    if "reading" in g:
        try:
            g.reading.close()
        except (DeskError, SQLAlchemyError):
            g.reading.invalidate()


def password_stamp(password_hash: str) -> str:
    """Return what a signed-in session remembers of a password, so that a new password ends it."""
    return sha256(password_hash.encode()).hexdigest()[:16]


def load_head(event_id: int | None = None) -> None:
    """Fill `g.head` and `g.actor` by one statement, from the signed session and the event it is at."""
    event_id = event_id or session.get("event_id")
    signed = {name: session.get(name) or 0 for name in ("account_id", "stringer_id", "device_id")}
    g.head, standing = read_head(reading(), event_id or 0, key_hash=token_hash(session.get("key", "")), **signed)
    g.actor = _actor_of(*standing)


def _actor_of(
    account_id, name, role, active, password_hash, bound_to,
    stringer_id, stringer, pin_hash, device_id, withdrawn, session_id, ended_at,
):  # fmt: skip
    at_event = g.head.id if g.head else None
    if "key" in session and (session_id is None or ended_at is not None):
        return None
    if account_id is not None:
        stands = active and session.get("stamp") == password_stamp(password_hash)
        return Actor(name, role, account_id=account_id) if stands and bound_to in (None, at_event) else None
    if stringer_id is not None and device_id is not None and withdrawn is None:
        stands = bool(pin_hash) and session.get("stamp", password_stamp(pin_hash)) == password_stamp(pin_hash)
        return Actor(stringer, "stringer", stringer_id=stringer_id) if stands else None
    return None


def actor() -> Actor | None:
    return g.get("actor")


def head() -> Head:
    """Return the head of the event that this request is about."""
    if g.get("head") is None:
        raise NotFound("No event is chosen; choose one on the page of events.")
    return g.head


def use_event(event_id: int) -> Head:
    """Take another event for this request: a public page finds its own from its address."""
    load_head(event_id)
    return head()


def event_id() -> int:
    return head().id


def current_event() -> Event:
    """Return the whole event, in the reading session."""
    return reading().get_one(Event, event_id())


def event_time() -> datetime:
    """Return the event's time now, in UTC."""
    if "event_time" not in g:
        g.event_time = event_now(head(), utc_now())  # type: ignore[arg-type]
    return g.event_time


def stale_since() -> datetime | None:
    """Return since when, in event time, the plan is not kept up to date; None while it is or nobody watches."""
    watch = current_app.extensions.get("plan_watch")
    if watch is None or g.get("head") is None or head().status != "open":
        return None
    if "stale_seconds" not in g:
        found = head()
        g.stale_seconds = watch.stale_seconds(
            found.id, beats=found.beats, change=found.change_number, planned=found.planned_change_number
        )
    if not g.stale_seconds:
        return None
    return event_now(head(), utc_now() - timedelta(seconds=g.stale_seconds))  # type: ignore[arg-type]


def clock() -> EventClock:
    """Return the event's wall clock."""
    zone = head().time_zone
    return EventClock(zone, head().first_day or EventClock(zone, date(2000, 1, 1)).local(utc_now()).date())


def acting() -> Acting:
    """Return who does it and when; a touch made without wifi and sent later counts from when it was made."""
    found = actor()
    real = utc_now() - _touched_ago()
    return Acting(by=found.name if found else "nobody", at=event_now(head(), real))  # type: ignore[arg-type]


def do(service: Callable[..., Result], *asked: Any, **values: Any) -> Result:
    """Let a service do its work at this event, for whoever is signed in, in one transaction."""
    with writing() as session:
        return service(session, event_id(), *asked, acting=acting(), **values)


def _touched_ago() -> timedelta:
    seconds = request.headers.get("X-Touched-Ago", "")
    if not (seconds.isascii() and seconds.isdigit() and len(seconds) < 9):
        return timedelta(0)
    return min(timedelta(seconds=int(seconds)), LONGEST_GAP)


def wants_fragment() -> bool:
    """Tell whether the script asks, so that a part of a page is the right answer."""
    return request.headers.get("X-Fragment") == "1"
