"""The sender: it tells whoever asked for it when a racquet is ready, changed or late, beside the planner.

It holds a lease, so that of several only one sends; one that is killed loses it by the clock, and what it was sending
then is shown as uncertain and not sent again by itself.
"""

from __future__ import annotations

import logging
import os
import socket
import threading
import time
import uuid
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime

from sqlalchemy.exc import IntegrityError, OperationalError, SQLAlchemyError
from sqlalchemy.orm import Session

from desk.errors import BadInput, Busy, DeskError, NotFound
from desk.installation import setting
from desk.models.database import Database
from desk.queries.word.letters import Letter
from desk.queries.word.word_ways import MAIL, doors
from desk.services.acting import lock_event
from desk.services.word.deadline import STEP_SECONDS, WHOLE_SECONDS
from desk.services.word.mail import MailDoor, server_of_settings
from desk.services.word.noting import note_late
from desk.services.word.sending import (
    Outcome,
    begin_letter,
    due_ways,
    give_up_lease,
    hold_lease,
    open_events,
    settle_letter,
)
from desk.services.word.vapid_key import kept_vapid, sender_of_settings
from desk.services.word.web_push import PushDoor

LEASE_SECONDS = 12.0
POLL_SECONDS = 1.0
BEAT_SECONDS = 3.0
LOOK_SECONDS = 20.0
"""How often it is looked for racquets that are not ready as told."""
HUNG_SECONDS = 2 * WHOLE_SECONDS + 4 * STEP_SECONDS
"""More than one message can take: a sender that has not moved for so long is held to be stuck."""

log = logging.getLogger("desk.sender")


class Doors:
    """By which ways a message leaves: as the settings of the installation say."""

    def __init__(self, database: Database) -> None:
        self.database = database

    def send(self, letter: Letter, at: datetime) -> Outcome:
        """Send one message; what is not set up has failed, with the reason."""
        lacks = doors()
        missing = lacks.mail if letter.kind == MAIL else lacks.phone
        if missing:
            return Outcome(state="failed", why=missing)
        if letter.kind != MAIL:
            return PushDoor(kept_vapid(self.database), sender_of_settings()).send(letter)
        try:
            server = server_of_settings()
        except BadInput as error:
            return Outcome(state="failed", why=str(error))
        assert server is not None
        return MailDoor(server, setting("DESK_MAIL_PASSWORD")).send(letter, at)


class Sender:
    """Sends what waits in one database until told to stop; SEND gives one message away and tells what became of it."""

    def __init__(
        self,
        database: Database,
        send: Callable[[Letter, datetime], Outcome] | None = None,
        *,
        lease_seconds: float = LEASE_SECONDS,
    ) -> None:
        self.database, self.send, self.lease_seconds = database, send or Doors(database).send, lease_seconds
        self.holder = f"{socket.gethostname()}-{os.getpid()}-{uuid.uuid4().hex[:8]}"
        self._stopping = threading.Event()
        self._beat_at = self._looked_at = float("-inf")
        self._moved_at = time.monotonic()
        self._has_lease = False

    def is_moving(self) -> bool:
        """Tell whether the sending goes on."""
        return time.monotonic() - self._moved_at < HUNG_SECONDS

    def stop(self) -> None:
        """Ask `run` to end after the message that it is sending."""
        self._stopping.set()

    def run(self) -> None:
        """Send until stopped; records that are busy or away, or a fault of one message, end nothing."""
        threading.Thread(target=self._beat, daemon=True).start()
        while not self._stopping.is_set():
            self._moved_at = time.monotonic()
            sent = 0
            try:
                sent = self.run_once()
            except (Busy, NotFound, OperationalError, IntegrityError) as error:
                # Our own sentences name no address; what a driver says might.
                why = error if isinstance(error, DeskError) else type(error).__name__
                log.warning("Nothing can be sent, trying again: %s", why)
            except Exception:
                # One message that cannot be written must not end all others.
                log.exception("Sending failed")
            if not sent:
                self._stopping.wait(POLL_SECONDS)
        with suppress(Busy, OperationalError), self.database.writing() as session:
            give_up_lease(session, self.holder)

    def _beat(self) -> None:
        """Keep the lease while a message is under way, as long as the sending goes on."""
        with Database(self.database.url, patience=1.0) as database:
            while not self._stopping.wait(BEAT_SECONDS):
                if self._has_lease and self.is_moving():
                    with suppress(Busy, NotFound, SQLAlchemyError), database.writing() as session:
                        self._has_lease = self._hold(session, datetime.now(UTC))

    def _hold(self, session: Session, real_now: datetime) -> bool:
        return hold_lease(session, self.holder, real_now=real_now, seconds=self.lease_seconds)

    def run_once(self, now: datetime | None = None) -> int:
        """Send everything that is due, and return how many messages went; none where another sender has the lease."""
        if not self._holds_lease(now or datetime.now(UTC)):
            return 0
        self._look_for_late(now or datetime.now(UTC))
        with self.database.reading() as session:
            real_now = now or datetime.now(UTC)
            due = [(one.id, way) for one in open_events(session) for way in due_ways(session, one, real_now=real_now)]
        return sum(self._send_one(event_id, way_id, now) for event_id, way_id in due if not self._stopping.is_set())

    def _send_one(self, event_id: int, way_id: int, now: datetime | None) -> int:
        self._moved_at = time.monotonic()
        real_now = now or datetime.now(UTC)
        with self.database.writing() as session:
            if not self._hold(session, real_now):
                return 0
            letter = begin_letter(session, event_id, way_id, real_now=real_now)
        if letter is None:
            return 0
        try:
            outcome = self.send(letter, real_now)
        except Exception as error:
            log.exception("A message could not be sent")
            outcome = Outcome(state="uncertain", why=f"a fault of the program ({type(error).__name__})")
        self._settle(event_id, letter.token, outcome, now)
        log.info("One message by %s: %s", letter.kind, outcome.state)
        return 1

    def _settle(self, event_id: int, token: str, outcome: Outcome, now: datetime | None) -> None:
        """Keep what became of a message, however long the records are busy; else it would count as uncertain."""
        until = time.monotonic() + HUNG_SECONDS / 2
        while True:
            try:
                with self.database.writing() as session:
                    settle_letter(session, event_id, token, outcome, real_now=now or datetime.now(UTC))
                return
            except (Busy, OperationalError):
                if time.monotonic() > until:
                    raise
                time.sleep(POLL_SECONDS)

    def _holds_lease(self, real_now: datetime) -> bool:
        """Beat, and hold the lease; a sender that has it not looks again with the next beat."""
        if time.monotonic() - self._beat_at < BEAT_SECONDS:
            return self._has_lease
        self._beat_at = time.monotonic()
        with self.database.writing() as session:
            self._has_lease = self._hold(session, real_now)
        return self._has_lease

    def _look_for_late(self, real_now: datetime) -> None:
        if time.monotonic() - self._looked_at < LOOK_SECONDS:
            return
        self._looked_at = time.monotonic()
        with self.database.reading() as session:
            events = [event.id for event in open_events(session) if event.tells_anybody]
        for event_id in events:
            with self.database.writing() as session:
                note_late(session, lock_event(session, event_id), real_now)
