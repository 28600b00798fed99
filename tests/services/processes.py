"""Web and planner processes of a desk, as they run at an event, to be killed by what is measured."""

import argparse
import http.client
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sqlalchemy import select

from desk.models import PlannerBeat
from desk.models.database import Database
from tests.conftest import POSTGRES_URL
from tests.databases import postgres_database

LONGEST_START = 600.0
"""Seconds; beside a score of busy processes on two cores a start has taken more than 180."""


class DeskProcess:
    """One `serve --no-planner` or one `planner`; started again under the same name after it was killed."""

    def __init__(self, kind: str, url: str, log: Path) -> None:
        self.kind, self.url, self.log = kind, url, log
        self.port = free_port() if kind == "serve" else 0
        self.start()

    def start(self) -> None:
        """Start it; it is not ready yet."""
        more = ["--no-planner", "--port", str(self.port)] if self.kind == "serve" else []
        command = [sys.executable, "-m", "desk", self.kind, *more]
        environment = os.environ | {"DESK_DATABASE_URL": self.url}
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(command, env=environment, stdout=log, stderr=log)

    @property
    def pid(self) -> int:
        return self.process.pid

    def is_ready(self, database: Database) -> bool:
        """Tell whether it answers, or whether its heart beats in the records."""
        if self.process.poll() is not None:
            raise RuntimeError(f"{self.kind} ended by itself: {self.log.read_text(errors='replace')[-2000:]}")
        if self.kind == "serve":
            return answers(self.port)
        with database.reading() as session:
            return any(f"-{self.pid}-" in holder for holder in session.scalars(select(PlannerBeat.holder)))

    def send(self, number: signal.Signals) -> None:
        self.process.send_signal(number)

    def kill(self) -> None:
        """End it at once, also when it was stopped."""
        self.process.kill()
        self.process.wait()


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


def answers(port: int) -> bool:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    with suppress(OSError, http.client.HTTPException):
        connection.request("GET", "/healthz")
        return connection.getresponse().status == 200
    return False


def wait_until(answer: Callable[[], bool], seconds: float = LONGEST_START) -> float:
    """Wait until ANSWER is true and return the seconds that it took; RuntimeError when it stays false."""
    begun = time.monotonic()
    while not answer():
        if time.monotonic() - begun > seconds:
            raise RuntimeError(f"nothing came in {seconds:.0f} seconds")
        time.sleep(0.05)
    return time.monotonic() - begun


@contextmanager
def ended_afterwards(processes: list[DeskProcess]) -> Iterator[None]:
    """End all processes when the block ends."""
    try:
        yield
    finally:
        for one in processes:
            one.kill()


@contextmanager
def busy_loops(count: int) -> Iterator[None]:
    """Keep COUNT cores busy with nothing."""
    loops = [subprocess.Popen([sys.executable, "-c", "while True: pass"]) for _ in range(count)]
    try:
        yield
    finally:
        for one in loops:
            one.kill()
            one.wait()


def asked_of(words: str | None, *, kills: int, busy: int) -> argparse.Namespace:
    """Read the command line of a measure that kills processes on both kinds of database, or those that are named."""
    parser = argparse.ArgumentParser(description=words, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("kinds", nargs="*", default=["sqlite", "postgresql"], metavar="sqlite|postgresql")
    parser.add_argument("--kills", type=int, default=kills)
    parser.add_argument("--busy", type=int, default=busy, help="loops that take the cores meanwhile")
    parser.add_argument("--server", default=POSTGRES_URL, help="a PostgreSQL server on which databases may be made")
    parser.add_argument("--seed", type=int, default=1)
    return parser.parse_args()


@contextmanager
def records_of(kind: str, folder: Path, server: str) -> Iterator[Database]:
    """Give empty records: a SQLite file in FOLDER, or a new database of the PostgreSQL SERVER."""
    if kind == "sqlite":
        with Database(f"sqlite:///{folder}/desk.sqlite") as database:
            database.upgrade()
            yield database
        return
    with postgres_database(server) as url, Database(url) as database:
        database.upgrade()
        yield database
