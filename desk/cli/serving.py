"""The web server and the planner, as one command or as two."""

from __future__ import annotations

import logging
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import click
import waitress

import solver
from desk.cli.account import make_first_account
from desk.installation import setting
from desk.models.database import Database
from desk.planner import Planner
from desk.services.plan.planning import Effort
from desk.services.records import hourly
from desk.web import create_app

THREADS = 12


@click.command("serve")
@click.option("--host", help="Address to listen on; DESK_HOST when not given.")
@click.option("--port", type=int, help="Port to listen on; DESK_PORT when not given.")
@click.option("--no-planner", is_flag=True, help="Serve the screens only; the planner runs elsewhere.")
@click.pass_obj
def serve_command(url: str, host: str | None, port: int | None, no_planner: bool) -> None:
    """Serve the screens and keep the plans current: the one command at an event."""
    database = Database(url)
    database.upgrade()
    host, port = host or setting("DESK_HOST"), port or int(setting("DESK_PORT"))
    click.echo(f"The desk is at http://{host}:{port}/ (end it with Ctrl+C).")
    make_first_account(database, "lead")
    if setting("DESK_BACKUP_FOLDER"):
        threading.Thread(target=_copy_each_hour, args=(database,), daemon=True).start()
    if no_planner:
        serve_web(database, host, port)
        return
    with planner_beside(url):
        serve_web(database, host, port)


@click.command("planner")
@click.option("--parent", type=int, hidden=True, help="End when this process is gone.")
@click.pass_obj
def planner_command(url: str, parent: int | None) -> None:
    """Keep the plan of every open event current until stopped."""
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(name)s %(message)s")
    seconds, workers = float(setting("DESK_PLAN_SECONDS")), int(setting("DESK_PLAN_WORKERS"))
    planner = Planner(Database(url), Effort(seconds=seconds, workers=workers))
    for name in (signal.SIGTERM, signal.SIGINT):
        signal.signal(name, lambda *_: planner.stop())
    if parent is not None:
        threading.Thread(target=_stop_with_parent, args=(planner, parent), daemon=True).start()
    planner.run()


def _stop_with_parent(planner: Planner, parent: int) -> None:
    waiting = threading.Event()
    while os.getppid() == parent:
        waiting.wait(1.0)
    planner.stop()


def _copy_each_hour(database: Database) -> None:
    folder, log, waiting = Path(setting("DESK_BACKUP_FOLDER")), logging.getLogger("desk.backup"), threading.Event()
    while True:
        try:
            log.info("Copied the records to %s", hourly.copy_and_thin(database, folder, datetime.now(UTC)))
        except Exception:
            # A full disk in one hour must not end the copies of the next.
            log.exception("The records could not be copied; trying again in an hour")
        waiting.wait(3600)


def serve_web(database: Database, host: str, port: int) -> None:
    """Serve the screens until the process is ended; the solver is made ready beside it for quotes."""
    threading.Thread(target=solver.warm_up, daemon=True).start()
    logging.getLogger("waitress").setLevel(logging.ERROR)
    waitress.serve(create_app(database), host=host, port=port, threads=THREADS, ident="stringing-desk")


@contextmanager
def planner_beside(url: str) -> Iterator[None]:
    """Run a planner process beside this one; one that dies is started again."""
    ending = threading.Event()
    keeper = threading.Thread(target=_keep_planner, args=(url, ending), daemon=True)
    keeper.start()
    try:
        yield
    finally:
        ending.set()
        keeper.join(timeout=10)


def _keep_planner(url: str, ending: threading.Event) -> None:
    command = [sys.executable, "-m", "desk", "--database", url, "planner", "--parent", str(os.getpid())]
    while not ending.is_set():
        process = subprocess.Popen(command, stderr=subprocess.DEVNULL)
        while process.poll() is None and not ending.wait(0.5):
            pass
        if process.poll() is None:
            process.terminate()
            process.wait(timeout=10)
        ending.wait(1.0)
