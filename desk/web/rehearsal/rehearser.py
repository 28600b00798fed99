"""Rehearsals that this server plays at the moment, each beside its request, one an event."""

from __future__ import annotations

import logging
import threading
from dataclasses import dataclass
from typing import Any

from desk.errors import DeskError
from desk.models import Event
from desk.models.database import Database
from desk.queries.rehearsal.rehearsal_report import rehearsal_report
from desk.services.acting import Acting
from desk.services.rehearsal.keeping import keep_rehearsal
from desk.services.rehearsal.rehearsing import Asked, prepare, rehearse
from solver.rehearsal import Progress


@dataclass(kw_only=True)
class Running:
    """One rehearsal on its way: how far it is, or what stood against it."""

    event_id: int
    asked: Asked
    typed: dict[str, Any]
    acting: Acting
    progress: Progress | None = None
    trouble: str = ""
    is_over: bool = False


class Rehearser:
    """Plays rehearsals on threads; the compiled rule runs without the interpreter's lock."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._lock = threading.Lock()
        self._running: dict[int, Running] = {}

    def start(self, running: Running) -> None:
        """Begin a rehearsal, unless one of the event is on its way."""
        with self._lock:
            other = self._running.get(running.event_id)
            if other is not None and not other.is_over:
                return
            self._running[running.event_id] = running
        threading.Thread(target=self._play, args=(running,), daemon=True).start()

    def of(self, event_id: int) -> Running | None:
        """Return the newest rehearsal of an event in this server."""
        return self._running.get(event_id)

    def _play(self, running: Running) -> None:
        def tell(progress: Progress) -> None:
            running.progress = progress

        try:
            with self._database.reading() as session:
                prepared = prepare(session, session.get_one(Event, running.event_id), running.asked)
            answer = rehearse(prepared, running.asked, tell)
            with self._database.writing() as session:
                event = session.get_one(Event, running.event_id)
                report = rehearsal_report(session, event, prepared.picture, answer, running.acting.at)
                keep_rehearsal(session, event.id, report, running.typed, acting=running.acting)
        except DeskError as error:
            running.trouble = str(error)
        except Exception:
            logging.getLogger("desk.web").exception("A rehearsal could not be played")
            running.trouble = "It could not be played: a fault of the program, written down in its log. Try again."
        running.is_over = True
