"""The demo: a sample event in the middle of its day, with boards that move."""

from __future__ import annotations

import logging
import os
import threading
from datetime import datetime, timedelta
from pathlib import Path

import click

from desk.cli.progress import ProgressLine, make_planner_ready
from desk.cli.serve.planner_keeper import planner_beside
from desk.cli.serve.serving import serve_web
from desk.installation import number_setting, setting
from desk.models.database import Database
from desk.queries.event.events import event_by_slug
from desk.services.event_files import EventFiles, read_event
from desk.services.played_day import Step, demo

SAMPLES = Path(__file__).resolve().parents[2] / "sample_events"


@click.command("demo")
@click.option("--event", "folder", default="harbour-week", show_default=True, help="Sample event, or a path.")
@click.option("--day", default=2, show_default=True, help="Day of the event to open on.")
@click.option("--time", default="11:30", show_default=True, help="Time of that day.")
@click.option("--speed", default=6.0, show_default=True, help="Event minutes in a real one.")
@click.option(
    "--file",
    type=click.Path(dir_okay=False, path_type=Path),
    default="demo.sqlite",
    show_default=True,
    help="The demo's own records.",
)
@click.option("--fresh", is_flag=True, help="Begin anew instead of going on with the file.")
@click.option("--port", type=int, help="Port to listen on; DESK_PORT when not given.")
@click.option("--still", is_flag=True, help="Leave all the work to you: no invented hands do it.")
@click.pass_context
def demo_command(
    context: click.Context,
    folder: str,
    day: int,
    time: str,
    speed: float,
    file: Path,
    fresh: bool,
    port: int | None,
    still: bool,
) -> None:
    """Open an invented event in the middle of its day and serve it."""
    if context.parent is not None and context.parent.params.get("url"):
        raise click.UsageError("The demo keeps its own records and takes no --database; name its file with --file.")
    files = read_event(SAMPLES / folder if (SAMPLES / folder).exists() else Path(folder))
    url = f"sqlite:///{file}"
    if fresh:
        for old in (file, Path(f"{file}-wal"), Path(f"{file}-shm")):
            old.unlink(missing_ok=True)
    database, event_id = _open(url, file, files, day, time, speed)
    host, port = setting("DESK_HOST"), port or int(number_setting("DESK_PORT", 1, 65535))
    _say_where(f"http://{host}:{port}/", file, demo.demo_sign_ins(database, event_id), still=still)
    if not still:
        threading.Thread(target=_go_on, args=(demo.DemoHands(database, event_id, files),), daemon=True).start()
    with planner_beside(url):
        serve_web(database, host, port)


def _say_where(address: str, file: Path, sign_ins: list[demo.SignIn], *, still: bool) -> None:
    others = " DESK_DATABASE_URL is left alone." if os.environ.get("DESK_DATABASE_URL") else ""
    click.echo(f"The demo is at {address} (end it with Ctrl+C). Everything in it is invented.")
    click.echo(f"Its records are its own, in {file}.{others}")
    for one in sign_ins:
        click.echo(f"  sign in as {one.name:<10} password {one.password}")
    click.echo("  stringers sign in at a trusted bench with the PIN 1234")
    if not still:
        click.echo("Invented hands string, play and collect by themselves; `demo --still` leaves all of it to you.")


def _open(url: str, file: Path, files: EventFiles, day: int, time: str, speed: float) -> tuple[Database, int]:
    going_on = file.exists()
    database = Database(url)
    database.upgrade()
    if going_on:
        with database.reading() as session:
            event_id = event_by_slug(session, files.settings["slug"]).id
        demo.resume_clock(database, event_id, speed)
        click.echo(f"Going on with {file}; --fresh begins anew.")
        return database, event_id
    clock = files.clock
    target = clock.parse(time, clock.first_day + timedelta(days=day - 1))
    make_planner_ready()
    begun: list[datetime] = []
    click.echo("Playing the event up to its hour; this takes half a minute, on a busy computer two or three.", err=True)
    line = ProgressLine(f"Playing {files.source} up to {clock.local(target):%a %H:%M}")

    def show(step: Step) -> None:
        begun[:] = begun[:1] or [step.at]
        line.show(
            (step.at - begun[0]) / max(target - begun[0], timedelta(minutes=1)), f"{clock.local(step.at):%a %H:%M}"
        )

    event_id = demo.open_demo(database, files, target=target, speed=speed, on_moment=show)
    line.end()
    return database, event_id


def _go_on(hands: demo.DemoHands) -> None:
    pause = threading.Event()
    while True:
        try:
            hands.go_on()
        except Exception:
            # The demo's hands must never take the demo down with them.
            logging.getLogger("desk.demo").exception("The demo's hands slipped")
        pause.wait(1.0)
