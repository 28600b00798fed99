"""The planner: a process that keeps every open event's plan current.

It holds a lease on each event while it plans it, so that two planners never plan one event at
once; a planner that is killed loses nothing, since its lease runs out and the next one reads the
records afresh.
"""

from __future__ import annotations

import logging
import os
import socket
import threading
import time
import uuid
from datetime import UTC, datetime

from sqlalchemy import select
from sqlalchemy.exc import OperationalError

import solver
from desk.errors import Busy
from desk.models import Event
from desk.models.database import Database
from desk.services.acting import event_now
from desk.services.plan.plan_runs import give_up_lease, needs_plan, take_lease
from desk.services.plan.planning import Effort, plan_event

LEASE_SECONDS = 4.0
POLL_SECONDS = 0.25
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
    """

    def __init__(self, database: Database, effort: Effort) -> None:
        self.database = database
        self.effort = effort
        self.holder = f"{socket.gethostname()}-{os.getpid()}-{uuid.uuid4().hex[:8]}"
        self._stopping = threading.Event()
        self._held: dict[int, float] = {}
        self._looked: dict[int, float] = {}

    def stop(self) -> None:
        """Ask `run` to end after the plan it is making."""
        self._stopping.set()

    def run(self) -> None:
        """Plan until stopped; a database that is busy or away is tried again."""
        threading.Thread(target=solver.warm_up, daemon=True).start()
        while not self._stopping.is_set():
            try:
                planned = self.run_once()
            except (Busy, OperationalError) as error:
                log.warning("The records cannot be reached, trying again: %s", error)
                planned = False
                self._stopping.wait(1.0)
            if not planned:
                self._stopping.wait(POLL_SECONDS)
        self._give_up()

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
        try:
            plan = plan_event(self.database, event.id, at=event_now(event), effort=self.effort)
        except (Busy, OperationalError):
            raise
        except Exception:
            # One event that cannot be planned must not stop the others.
            log.exception("Planning %s failed", event.slug)
            self._stopping.wait(1.0)
            return False
        self._looked[event.id] = time.monotonic()
        log.info("%s: %s, %d points, %.2f s", event.slug, plan.status, plan.total, plan.seconds)
        return True

    def _lease(self, event_id: int) -> bool:
        if time.monotonic() < self._held.get(event_id, 0.0):
            return True
        with self.database.writing() as session:
            taken = take_lease(
                session, event_id, self.holder, real_now=datetime.now(UTC), seconds=LEASE_SECONDS + self.effort.seconds
            )
        if taken:
            self._held[event_id] = time.monotonic() + LEASE_SECONDS / 2
        return taken

    def _give_up(self) -> None:
        for event_id in self._held:
            with self.database.writing() as session:
                give_up_lease(session, event_id, self.holder)
