"""A rehearsal played by processes of its own: it goes on when a page is closed or the server begins anew.

`python -m desk.services.rehearsal.rehearsal_process RUN` plays a run of the records that DESK_DATABASE_URL names.
"""

from __future__ import annotations

import logging
import os
import subprocess
import sys
import threading
from contextlib import suppress
from dataclasses import replace

from sqlalchemy.exc import SQLAlchemyError

from desk.errors import DeskError
from desk.installation import setting
from desk.models import Event, RehearsalRun
from desk.models.database import Database
from desk.queries.rehearsal.rehearsal_report import rehearsal_report
from desk.services.acting import Acting
from desk.services.rehearsal.asking import asked_of
from desk.services.rehearsal.rehearsing import prepare, rehearse
from desk.services.rehearsal.runs import STOPPED, end_run, keep_rehearsal, note_progress
from solver.rehearsal import Progress

BEAT_SECONDS = 1.0
FAULT = "It could not be played: a fault of the program, written down in its log. Try again."
NICE = 10
"""The desk's own work goes before a rehearsal's."""


class Stopped(Exception):
    """Somebody asked to stop."""


def start_apart(database: Database, run_id: int) -> subprocess.Popen[bytes]:
    """Begin to play a run; the process outlives whoever begins it."""
    command = [sys.executable, "-m", "desk.services.rehearsal.rehearsal_process", str(run_id)]
    environment = os.environ | {"DESK_DATABASE_URL": database.url}
    return subprocess.Popen(command, env=environment, stdin=subprocess.DEVNULL, start_new_session=True)


def play_run(database: Database, run_id: int, *, workers: int | None = None) -> None:
    """Play a run to its end and keep what it came to; what stands against it is written beside it."""
    trouble = ""
    with _Beating(database, run_id) as beating:
        try:
            _play(database, run_id, beating, workers)
        except Stopped:
            trouble = STOPPED
        except DeskError as error:
            trouble = str(error)
        except Exception:
            logging.getLogger("desk.rehearsal").exception("A rehearsal could not be played")
            trouble = FAULT
    with database.writing() as session:
        end_run(session, run_id, trouble)


def _play(database: Database, run_id: int, beating: _Beating, workers: int | None) -> None:
    with database.reading() as session:
        run = session.get_one(RehearsalRun, run_id)
        asked, typed = replace(asked_of(run.asked), workers=workers), dict(run.asked)
        acting = Acting(by=run.by, at=run.asked_at)
        event_id = run.event_id
        prepared = prepare(session, session.get_one(Event, event_id), asked)
    answer = rehearse(prepared, asked, beating.tell)
    with database.writing() as session:
        event = session.get_one(Event, event_id)
        report = rehearsal_report(session, event, prepared.picture, answer, acting.at)
        keep_rehearsal(session, event.id, report, typed, acting=acting)


class _Beating:
    """Notes every second how far a run is, on a thread of its own, and hears whether it shall stop."""

    def __init__(self, database: Database, run_id: int) -> None:
        self._database, self._run_id = database, run_id
        self._progress: Progress | None = None
        self._over, self._stop = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._beat, daemon=True)

    def __enter__(self) -> _Beating:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._thread.join()

    def tell(self, progress: Progress) -> None:
        """Take how far it is; a stop that was asked for ends the playing here."""
        self._progress = progress
        if self._stop.is_set():
            raise Stopped

    def _beat(self) -> None:
        is_over = False
        while not is_over:
            is_over = self._over.is_set()  # noted once more at the end, which may come between two beats
            with suppress(DeskError, SQLAlchemyError), self._database.writing() as session:
                if not note_progress(session, self._run_id, self._progress):
                    self._stop.set()
            self._over.wait(BEAT_SECONDS)


def main() -> None:
    """Play the run whose number is given."""
    if hasattr(os, "nice"):
        os.nice(NICE)
    with Database(setting("DESK_DATABASE_URL")) as database:
        play_run(database, int(sys.argv[1]))


if __name__ == "__main__":
    main()
