"""The planner: a process that keeps every open event's plan current.

It holds a lease on each event while it plans it, so that two planners do not plan one event at
once; a planner that is killed loses nothing, since its lease runs out and the next one reads the
records afresh. The heart-beat renews the lease, however long a plan is thought about.
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

from sqlalchemy import select
from sqlalchemy.exc import OperationalError, SQLAlchemyError
from sqlalchemy.orm import Session

import solver
from desk.errors import Busy, NotFound
from desk.models import Event
from desk.models.database import Database
from desk.services.acting import event_now
from desk.services.plan.leases import beat, end_beats, give_up_lease, renew_lease, take_lease
from desk.services.plan.plan_runs import needs_plan
from desk.services.plan.planning import Effort, plan_event

BEAT_SECONDS = 1.5
LEASE_SECONDS = 3 * BEAT_SECONDS
"""Two beats may be missed. Where a clock was set back meanwhile a lease lasts twice as long, and no longer."""
POLL_SECONDS = 0.25
HUNG_SECONDS = 30.0
"""A planner whose work has not moved for so long, beyond what it may think, is held to be stuck."""
LOOK_SECONDS = 60.0
"""How often play is looked at without a change: a match that overruns moves what is needed by."""

log = logging.getLogger("desk.planner")


class Planner:
    """Plans every open event of one database until told to stop.

    Parameters
    ----------
    database : Database
        The records.
    effort : Effort
        How hard to think after each change.
    on_beat : callable
        Called with each heart-beat, also while the records cannot be written.
    """

    def __init__(self, database: Database, effort: Effort, *, on_beat: Callable[[], None] = lambda: None) -> None:
        self.database = database
        self.effort = effort
        self.on_beat = on_beat
        self.holder = f"{socket.gethostname()}-{os.getpid()}-{uuid.uuid4().hex[:8]}"
        self._stopping = threading.Event()
        self._held: dict[int, float] = {}
        self._planning: int | None = None
        self._looked: dict[int, float] = {}
        self._moved_at = time.monotonic()

    def is_moving(self) -> bool:
        """Tell whether the work goes on: what the heart-beats stand for."""
        return time.monotonic() - self._moved_at < HUNG_SECONDS + 2 * self.effort.seconds

    def stop(self) -> None:
        """Ask `run` to end after the plan it is making."""
        self._stopping.set()

    def run(self) -> None:
        """Plan until stopped; a database that is busy or away is tried again."""
        threading.Thread(target=solver.warm_up, daemon=True).start()
        heart = threading.Thread(target=self._beat, daemon=True)
        heart.start()
        while not self._stopping.is_set():
            self._moved_at = time.monotonic()
            try:
                planned = self.run_once()
            except (Busy, NotFound, OperationalError) as error:
                log.warning("The records cannot be reached, trying again: %s", error)
                planned = False
                self._stopping.wait(1.0)
            if not planned:
                self._stopping.wait(POLL_SECONDS)
        heart.join(timeout=5)
        self._give_up()

    def _beat(self) -> None:
        """Beat in the records while the work goes on; what cannot be written now is not missed by anybody."""
        with Database(self.database.url, patience=1.0) as database:
            while not self._stopping.wait(BEAT_SECONDS):
                if not self.is_moving():
                    log.error("The planning has not moved for %.0f seconds", time.monotonic() - self._moved_at)
                    continue
                self.on_beat()
                with suppress(Busy, NotFound, SQLAlchemyError), database.writing() as session:
                    self.beat_once(session, datetime.now(UTC))

    def beat_once(self, session: Session, real_now: datetime) -> None:
        """Count a beat, and keep the lease on the event that is planned at this moment."""
        beat(session, self.holder, real_now=real_now)
        if self._planning is not None:
            renew_lease(session, self._planning, self.holder, real_now=real_now, seconds=LEASE_SECONDS)

    def run_once(self) -> bool:
        """Plan each event that needs it; True when one was planned."""
        with self.database.reading() as session:
            events = session.scalars(select(Event).where(Event.status == "open")).all()
            waiting = [event for event in events if self._is_due(event) or needs_plan(session, event, event_now(event))]
        planned = [self._plan(event) for event in waiting]
        return any(planned)

    def _is_due(self, event: Event) -> bool:
        last = self._looked.setdefault(event.id, time.monotonic())
        return event.current_run_id is not None and time.monotonic() - last > LOOK_SECONDS

    def _plan(self, event: Event) -> bool:
        if not self._lease(event.id):
            return False
        self._planning = event.id
        try:
            plan = plan_event(self.database, event.id, at=event_now(event), effort=self.effort)
        except (Busy, OperationalError):
            raise
        except Exception:
            # One event that cannot be planned must not stop the others.
            log.exception("Planning %s failed", event.slug)
            self._stopping.wait(1.0)
            return False
        finally:
            self._planning = None
        self._looked[event.id] = time.monotonic()
        log.info("%s: planned anew in %.1f s", event.slug, plan.seconds)
        return True

    def _lease(self, event_id: int) -> bool:
        if time.monotonic() < self._held.get(event_id, 0.0):
            return True
        with self.database.writing() as session:
            taken = take_lease(session, event_id, self.holder, real_now=datetime.now(UTC), seconds=LEASE_SECONDS)
        if taken:
            self._held[event_id] = time.monotonic() + LEASE_SECONDS / 2
        return taken

    def _give_up(self) -> None:
        with self.database.writing() as session:
            end_beats(session, self.holder)
        for event_id in self._held:
            with self.database.writing() as session:
                give_up_lease(session, event_id, self.holder)
