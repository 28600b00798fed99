"""The usage sheet of a stored event at the prompt."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import click
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Event
from desk.models.database import Database
from desk.queries.close.usage_files import write_usage
from desk.queries.event.events import event_by_slug, list_events
from desk.queries.play.play_records import clock_of
from desk.services.acting import event_now
from exports.files.schema import json_schema
from exports.summary import counted

WHOLE = "event"


@click.command("export")
@click.argument("day", metavar="DAY|event")
@click.option(
    "--out",
    required=True,
    type=click.Path(dir_okay=False, path_type=Path),
    help="File to write; .xlsx is a workbook, .zip its tables as CSV, .json the same as data.",
)
@click.option("--event", "slug", metavar="SLUG", help="Short name of the event; the only one when not given.")
@click.option("--quiet", is_flag=True, help="Print no progress.")
@click.pass_obj
def export_command(url: str, day: str, out: Path, slug: str | None, quiet: bool) -> None:
    """Write the usage sheet of a DAY (2026-05-12, Tue or 2), or of the event so far.

    An existing file is replaced, whole or not at all.
    """
    database = Database(url)
    with database.reading() as session:
        event = _event(session, slug)
        report = write_usage(
            session, event, _day(session, event, day), out, at=event_now(event), progress=None if quiet else _show
        )
    strung = counted(report.summary.racquets_strung, "racquet")
    click.echo(f"{out}: {report.event_name}, {report.title}, {strung} strung")
    for row in report.cross_checks:
        if row.differs:
            click.echo(f"! {row.figure}: {row.first:g} by {row.first_source}, {row.second:g} by {row.second_source}")


def _event(session: Session, slug: str | None) -> Event:
    if slug is not None:
        return event_by_slug(session, slug)
    there = [line.slug for line in list_events(session)]
    if len(there) != 1:
        known = f"there are {', '.join(there)}: name one with --event" if there else "there is none; import one first"
        raise BadInput(f"Which event? In these records {known}.")
    return event_by_slug(session, there[0])


def _day(session: Session, event: Event, text: str) -> date | None:
    if text.strip().lower() == WHOLE:
        return None
    last = max((day.date for day in event.days), default=None)
    return clock_of(session, event).parse_day(text, last)


def _show(done: int, rows: int) -> None:
    click.echo(f"\r{done} of {rows} rows{chr(10) if done == rows else ''}", nl=False, err=True)


@click.command("schema")
def schema_command() -> None:
    """Print the JSON schema of the usage sheet, with the definition of every figure."""
    click.echo(json.dumps(json_schema(), indent=1, ensure_ascii=False))
