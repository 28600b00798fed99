"""Needed-by times at the prompt, of an event in files or in the records."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

import click
from sqlalchemy.orm import Session

from desk.models import Event
from desk.models.database import Database
from desk.queries.event.events import event_by_slug
from desk.queries.play.needed_by_table import needed_by_csv, needed_by_rows
from desk.queries.play.play_records import clock_of
from desk.services.acting import Acting, event_now
from desk.services.event_files import EventScript, read_event, script_of, store_event
from desk.services.played_day import play_so_far


@click.command("needed-by")
@click.argument("event")
@click.option("--at", "moment", metavar='"DAY HH:MM"', help='As known then, e.g. "Tue 14:05"; now when not given.')
@click.option("--out", required=True, type=click.Path(dir_okay=False, path_type=Path), help="CSV file to write.")
@click.pass_obj
def needed_by_command(url: str, event: str, moment: str | None, out: Path) -> None:
    """Write when each match of EVENT starts and by when its players need their racquets.

    EVENT is a folder or a workbook, or the short name of a stored event. An event in files stands as
    before its first match, or with --at as its incidents of play up to then have left it.
    """
    with _opened(url, event) as (session, found, now, script):
        clock = clock_of(session, found)
        last = max((day.date for day in found.days), default=None)
        at = now if moment is None else clock.parse_moment(moment, last)
        refused = [] if script is None else play_so_far(session, found.id, script, at)
        rows = needed_by_rows(session, found, at)
        told = clock.day_hhmm(clock.to_minutes(at))
    out.write_text(needed_by_csv(rows), encoding="utf-8")
    for sentence in refused:
        click.echo(f"Not played: {sentence}", err=True)
    matches = len({row.match for row in rows})
    click.echo(f"{out}: {matches} matches, {len(rows)} rows, as known on {told}")


@contextmanager
def _opened(url: str, event: str) -> Iterator[tuple[Session, Event, datetime, EventScript | None]]:
    """Give a session, the event, its present and its script: of the files named EVENT, else of the records."""
    if not Path(event).exists():
        database = Database(url)
        with database.reading() as session:
            found = event_by_slug(session, event)
            yield session, found, event_now(found), None
        database.dispose()
        return
    files = read_event(Path(event))
    before = files.clock.to_utc(0)
    with tempfile.TemporaryDirectory() as folder:
        database = Database(f"sqlite:///{folder}/event.sqlite")
        database.upgrade()
        with database.writing() as session:
            stored = store_event(session, files, acting=Acting(by="files", at=before))
            yield session, stored, before, script_of(files)
        database.dispose()
