"""The demo: a sample event in the middle of its day, with boards that move."""

from __future__ import annotations

import logging
import threading
from pathlib import Path

import click

from desk.cli.serving import planner_beside, serve_web
from desk.installation import setting
from desk.models.database import Database
from desk.services.event.events import event_by_slug
from desk.services.event_files import EventFiles, read_event
from desk.services.played_day import Step, demo

SAMPLES = Path(__file__).resolve().parents[2] / "sample_events"


@click.command("demo")
@click.option("--event", "folder", default="harbour-week", show_default=True, help="Sample event, or a path.")
@click.option("--day", default=2, show_default=True, help="Day of the event to open on.")
@click.option("--time", default="11:30", show_default=True, help="Time of that day.")
@click.option("--speed", default=6.0, show_default=True, help="Event minutes in a real one.")
@click.option("--file", type=click.Path(dir_okay=False, path_type=Path), default="demo.sqlite", show_default=True)
@click.option("--fresh", is_flag=True, help="Begin anew instead of going on with the file.")
@click.option("--port", type=int, help="Port to listen on; DESK_PORT when not given.")
@click.option("--still", is_flag=True, help="Leave all the work to you: no invented hands do it.")
def demo_command(
    folder: str, day: int, time: str, speed: float, file: Path, fresh: bool, port: int | None, still: bool
) -> None:
    """Open an invented event in the middle of its day and serve it."""
    files = read_event(SAMPLES / folder if (SAMPLES / folder).exists() else Path(folder))
    url = f"sqlite:///{file}"
    if fresh:
        for old in (file, Path(f"{file}-wal"), Path(f"{file}-shm")):
            old.unlink(missing_ok=True)
    database, event_id = _open(url, file, files, day, time, speed)
    host, port = setting("DESK_HOST"), port or int(setting("DESK_PORT"))
    click.echo(f"The demo is at http://{host}:{port}/ (end it with Ctrl+C). Everything in it is invented.")
    for one in demo.demo_sign_ins(database, event_id):
        click.echo(f"  sign in as {one.name:<10} password {one.password}")
    click.echo("  stringers sign in at a trusted bench with the PIN 1234")
    if not still:
        threading.Thread(target=_go_on, args=(demo.DemoHands(database, event_id, files),), daemon=True).start()
    with planner_beside(url):
        serve_web(database, host, port)


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
    click.echo(f"Playing {files.source} up to day {day}, {time} ...", err=True)
    event_id = demo.open_demo(database, files, day=day, time=time, speed=speed, on_moment=_show_moment)
    click.echo("", err=True)
    return database, event_id


def _show_moment(step: Step) -> None:
    click.echo(f"\r{step.at:%d %B %H:%M} UTC ", nl=False, err=True)


def _go_on(hands: demo.DemoHands) -> None:
    pause = threading.Event()
    while True:
        try:
            hands.go_on()
        except Exception:
            # The demo's hands must never take the demo down with them.
            logging.getLogger("desk.demo").exception("The demo's hands slipped")
        pause.wait(1.0)
