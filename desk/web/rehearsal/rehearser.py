"""The processes that play rehearsals for this server, and whether one still goes on."""

from __future__ import annotations

import subprocess
import threading
import time

from desk.models import RehearsalRun
from desk.models.database import Database
from desk.services.rehearsal.rehearsal_process import start_apart
from desk.services.rehearsal.runs import end_run

STILL_SECONDS = 60.0
"""A run that has not counted a beat for so long is played by nobody any more."""
DIED = "It ended before it was done: the machine had no room for it, or somebody ended it. Rehearse again."


class Rehearser:
    """Begins rehearsals apart, and sees to those that end without a word."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._seen: dict[int, tuple[int, float]] = {}

    def start(self, run_id: int) -> None:
        """Begin to play a run that stands in the records."""
        process = start_apart(self._database, run_id)
        threading.Thread(target=self._watch, args=(process, run_id), daemon=True).start()

    def plays(self, run: RehearsalRun) -> bool:
        """Tell whether anybody plays this run: whether it counted a beat since this server saw it last."""
        beats, at = self._seen.get(run.id, (-1, 0.0))
        if run.beats != beats:
            self._seen[run.id] = run.beats, time.monotonic()
            return True
        return time.monotonic() - at < STILL_SECONDS

    def _watch(self, process: subprocess.Popen[bytes], run_id: int) -> None:
        process.wait()
        with self._database.writing() as session:
            end_run(session, run_id, DIED)
