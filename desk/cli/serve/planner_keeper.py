"""The planner beside `serve`: a process that is watched, ended when it is stuck, and started again."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

BEAT = "beat"
SILENT_SECONDS = 15.0
"""A planner that says nothing for so long is ended."""
GRACE_SECONDS, LONGEST_GRACE = 20.0, 320.0
"""What starting may take before the first beat; twice as long after each start that was ended without one."""
WELL_SECONDS = 300.0
"""One that worked for so long is started again at once, should it end."""
FIRST_PAUSE, LONGEST_PAUSE = 1.0, 60.0

log = logging.getLogger("desk.planner_keeper")
planner_log = logging.getLogger("desk.planner")


@contextmanager
def planner_beside(url: str) -> Iterator[None]:
    """Keep a planner process beside this one; when it dies or hangs, another one is started and the log says why."""
    keeper = PlannerKeeper([sys.executable, "-m", "desk", "planner", "--parent", str(os.getpid())], url)
    keeper.start()
    try:
        yield
    finally:
        keeper.stop()


class PlannerKeeper:
    """Starts COMMAND, reads its heart-beats and its log, ends and restarts it with growing pauses.

    The URL goes by the environment: a password in it must not stand in the list of processes.
    """

    def __init__(self, command: list[str], url: str, *, silent_seconds: float = SILENT_SECONDS) -> None:
        self.command, self.url, self.silent_seconds = command, url, silent_seconds
        self.starts = 0
        self._ending = threading.Event()
        self._heard_at = time.monotonic()
        self._grace, self._has_beaten = GRACE_SECONDS, False
        self._thread = threading.Thread(target=self._keep, daemon=True)

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        """End the planner; the plan that it makes is stored first."""
        self._ending.set()
        self._thread.join(timeout=20)

    def _keep(self) -> None:
        pause = FIRST_PAUSE
        while not self._ending.is_set():
            begun = time.monotonic()
            why = self._run_once()
            if self._ending.is_set():
                return
            pause = FIRST_PAUSE if time.monotonic() - begun > WELL_SECONDS else min(2 * pause, LONGEST_PAUSE)
            log.error("The planner %s; starting it again in %.0f seconds", why, pause)
            self._ending.wait(pause)

    def _run_once(self) -> str:
        """Run one planner until it ends, is ended, or falls silent; return what became of it."""
        self.starts += 1
        self._heard_at = time.monotonic() + self._grace
        self._has_beaten = False
        environment = os.environ | {"DESK_DATABASE_URL": self.url}
        process = subprocess.Popen(
            self.command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, errors="replace"
        )
        threading.Thread(target=self._listen, args=(process,), daemon=True).start()
        looked_at = time.monotonic()
        while process.poll() is None:
            is_ending = self._ending.wait(0.2)
            before, looked_at = looked_at, time.monotonic()
            if is_ending:
                _end(process, 10.0)
            elif looked_at - before > self.silent_seconds / 2:
                # It was this process that stood still, and what the planner said meanwhile is not read yet.
                self._heard_at = max(self._heard_at, looked_at)
            elif looked_at - self._heard_at > self.silent_seconds:
                _end(process, 2.0)
                return self._why_ended()
        return f"ended by itself (exit status {process.returncode})"

    def _why_ended(self) -> str:
        """Say why a silent planner was ended; one that did not get as far as a beat has longer the next time."""
        if self._has_beaten:
            return f"said nothing for {self.silent_seconds:.0f} seconds and was ended"
        waited, self._grace = self._grace + self.silent_seconds, min(2 * self._grace, LONGEST_GRACE)
        return f"was not ready after {waited:.0f} seconds and was ended"

    def _listen(self, process: subprocess.Popen[str]) -> None:
        for line in process.stdout or ():
            self._heard_at = time.monotonic()
            if line.strip() == BEAT:
                self._has_beaten = True
            else:
                planner_log.info(line.rstrip())


def _end(process: subprocess.Popen[str], seconds: float) -> None:
    process.terminate()
    try:
        process.wait(timeout=seconds)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
