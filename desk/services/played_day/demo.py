"""A sample event in the middle of a day, on a clock of its own, with somebody to sign in."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Account, Event, EventDay, LogEntry, Stringer
from desk.models.database import Database
from desk.services.acting import Acting, event_now, lock_event, note_change
from desk.services.event_files import EventFiles, script_of, store_event
from desk.services.plan.planning import Effort
from desk.services.played_day import DayPlayer, Step
from desk.services.team import accounts

DEMO_STEPS = 2_000
ROLES = ("lead", "desk", "stringer", "organiser")


@dataclass(frozen=True, kw_only=True)
class SignIn:
    """Somebody who may sign in to the demo."""

    name: str
    role: str
    password: str


def open_demo(
    database: Database,
    files: EventFiles,
    *,
    target: datetime,
    speed: float,
    on_moment: Callable[[Step], None] | None = None,
) -> int:
    """Store the event, play it up to TARGET, and let its clock run from there.

    Parameters
    ----------
    speed : float
        Event minutes that pass in a real one.

    Returns
    -------
    int
        The event's id.
    """
    with database.writing() as session:
        event_id = store_event(session, files, acting=Acting(by="demo", at=target)).id
    player = DayPlayer(database, event_id, script_of(files), effort=Effort(seconds=1.0, steps=DEMO_STEPS))
    player.advance(files.clock.to_utc(0), target, on_moment)
    player.plan(target)
    set_clock(database, event_id, target, speed)
    return event_id


def set_clock(database: Database, event_id: int, event_at: datetime, speed: float) -> None:
    """Let the event's clock show EVENT_AT now and run SPEED times as fast as the real one."""
    with database.writing() as session:
        event = lock_event(session, event_id)
        event.clock_real_at, event.clock_event_at, event.clock_speed = datetime.now(UTC), event_at, speed
        note_change(event)


def resume_clock(database: Database, event_id: int, speed: float) -> None:
    """Let the clock go on from the last thing in the log, as if no time had passed while all was off."""
    with database.reading() as session:
        last = session.scalar(select(func.max(LogEntry.at)).where(LogEntry.event_id == event_id))
        event = session.get_one(Event, event_id)
    if last is not None:
        set_clock(database, event_id, min(event_now(event), last + timedelta(minutes=1)), speed)


def demo_sign_ins(database: Database, event_id: int) -> list[SignIn]:
    """Return somebody to sign in for each role, with new passwords; stringers get the PIN 1234."""
    found = []
    with database.writing() as session:
        for role in ROLES:
            password = "-".join(secrets.token_hex(2) for _ in range(2))
            _set_account(session, role, password, event_id)
            found.append(SignIn(name=role, role=role, password=password))
        event = session.get_one(Event, event_id)
        acting = Acting(by="demo", at=event_now(event))
        for stringer_id in session.scalars(select(Stringer.id).where(Stringer.event_id == event_id)).all():
            accounts.set_pin(session, event_id, stringer_id, "1234", acting=acting)
    return found


def _set_account(session: Session, role: str, password: str, event_id: int) -> None:
    account = session.scalar(select(Account).where(Account.name == role))
    if account is None:
        accounts.add_account(session, name=role, role=role, password=password, event_id=event_id)
    else:
        accounts.change_password(session, account.id, password)


class DemoHands:
    """Stringers, players and umpires of the demo: they do what the plan and the event files say."""

    def __init__(self, database: Database, event_id: int, files: EventFiles) -> None:
        self.database, self.event_id = database, event_id
        with database.reading() as session:
            since = session.scalar(select(func.max(LogEntry.at)).where(LogEntry.event_id == event_id))
            last_day = session.scalar(select(func.max(EventDay.closes_at)).where(EventDay.event_id == event_id))
            event = session.get_one(Event, event_id)
        self._now = event_now(event)
        self._end = last_day
        self._player = DayPlayer(database, event_id, script_of(files), effort=None, since=since)

    def go_on(self) -> None:
        """Carry out what happened since the last call, by the event's clock."""
        with self.database.reading() as session:
            until = event_now(session.get_one(Event, self.event_id))
        self._player.advance(self._now, until)
        self._now = until
