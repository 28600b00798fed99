"""The web server and the planner, as one command or as two."""

from __future__ import annotations

import logging
import os
import signal
import socket
import threading
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

import click
from sqlalchemy.exc import OperationalError

import solver
from desk.cli.account import make_first_account
from desk.cli.serve.logs import begin_logging
from desk.cli.serve.planner_keeper import BEAT, planner_beside
from desk.cli.serve.web_server import listen
from desk.errors import BadInput, Busy
from desk.installation import number_setting, setting
from desk.models.database import Database
from desk.planner import Planner
from desk.sender import Sender
from desk.services.plan.planning import Effort
from desk.services.records import hourly
from desk.services.word.mail import server_of_settings
from desk.web import create_app

ENDING_SECONDS = 8.0
"""What a message under way may take when all ends; one that takes longer counts as uncertain."""
_LONE_FORMAT = "%(asctime)s %(name)s %(message)s"
"""A planner beside `serve` leaves time and name to the log of `serve`, which reads its lines."""
PATIENCE = 5.0
"""Seconds for which a request waits to write before it is refused as busy."""


@click.command("serve")
@click.option("--host", help="Address to listen on; DESK_HOST when not given.")
@click.option("--port", type=int, help="Port to listen on; DESK_PORT when not given.")
@click.option("--no-planner", is_flag=True, help="Serve the screens only; the planner runs elsewhere.")
@click.pass_obj
def serve_command(url: str, host: str | None, port: int | None, no_planner: bool) -> None:
    """Serve the screens and keep the plans current: the one command at an event."""
    effort_of_settings()
    server_of_settings()
    host, port = host or setting("DESK_HOST"), port or int(number_setting("DESK_PORT", 1, 65535))
    begin_logging()
    refuse_taken_port(host, port)
    database = Database(url, patience=PATIENCE)
    database.upgrade()
    click.echo(f"The desk is at http://{host}:{port}/ (end it with Ctrl+C).")
    make_first_account(database, "lead", host=host, port=port)
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
    """Keep the plan of every open event current, and send word to whoever asked for it, until stopped."""
    logging.basicConfig(level=logging.INFO, format=_LONE_FORMAT if parent is None else "%(message)s")
    database = Database(url)
    _refuse_unmade(database)
    sender = Sender(database)
    beat = _beat_while(sender.is_moving) if parent is not None else lambda: None
    planner = Planner(database, effort_of_settings(), on_beat=beat)

    def stop() -> None:
        planner.stop()
        sender.stop()

    for name in (signal.SIGTERM, signal.SIGINT):
        signal.signal(name, lambda *_: stop())
    if parent is not None:
        threading.Thread(target=_stop_with_parent, args=(stop, parent), daemon=True).start()
    sending = threading.Thread(target=sender.run, daemon=True)
    sending.start()
    planner.run()
    sending.join(timeout=ENDING_SECONDS)


def _refuse_unmade(database: Database) -> None:
    """Refuse records that were never made; what is only away or busy the planner tries again by itself."""
    with suppress(Busy, OperationalError):
        if database.revision() is None:
            place = database.engine.url.render_as_string(hide_password=True)
            raise BadInput(f"{place} holds no records yet. Run `python -m desk init` first.")


def effort_of_settings() -> Effort:
    """Return how hard the planner thinks, or refuse a setting that cannot be."""
    seconds = number_setting("DESK_PLAN_SECONDS", 0.1, 60, whole=False)
    return Effort(seconds=seconds, workers=int(number_setting("DESK_PLAN_WORKERS", 1, 64)))


def refuse_taken_port(host: str, port: int) -> None:
    """Refuse to start where another program listens already, before anything else is begun."""
    try:
        family = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0][0]
        with socket.socket(family, socket.SOCK_STREAM) as tried:
            if os.name == "posix":
                tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            tried.bind((host, port))
    except OSError as error:
        raise BadInput(f"{host}:{port} cannot be listened on ({error.strerror}). Is a desk running already?") from error


def _beat_while(is_moving: Callable[[], bool]) -> Callable[[], None]:
    """Tell each heart-beat of the planner on, as long as the sender beside it moves too."""

    def tell_beat() -> None:
        if is_moving():
            print(BEAT, flush=True)

    return tell_beat


def _stop_with_parent(stop: Callable[[], None], parent: int) -> None:
    waiting = threading.Event()
    while os.getppid() == parent:
        waiting.wait(1.0)
    stop()


def _end_gently(_number: int, _frame: object) -> None:
    raise SystemExit(0)


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
    """Serve the screens until the process is ended; the solver is made ready beside it for quotes.

    Ended by SIGTERM, as by Ctrl+C, it finishes the requests that it has begun.
    """
    signal.signal(signal.SIGTERM, _end_gently)
    threading.Thread(target=solver.warm_up, daemon=True).start()
    listen(create_app(database, WATCH_PLANNER=True), host, port)
