"""An event as files: the empty workbook, an event imported, an event written."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from desk.cli.desk_group import fault_lines
from desk.models.database import Database
from desk.queries.event.events import event_by_slug
from desk.services.acting import Acting
from desk.services.event_files import (
    SO_FAR,
    EventFiles,
    changed_since,
    empty_workbook,
    left_to_play,
    read_event,
    store_again,
    store_event,
    store_so_far,
    taken_in,
    without_price,
    write_event,
)
from exports.summary import counted

SHOWN_CHANGES = 10


@click.command("template")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
def template_command(file: Path) -> None:
    """Write an empty event workbook to FILE, with a row in each sheet that explains its columns."""
    if file.suffix.lower() != ".xlsx":
        raise click.ClickException(f'"{file}" is no name for a workbook; end it in .xlsx.')
    if file.exists():
        raise click.ClickException(f'"{file}" is there already; choose another name, or move that file away.')
    try:
        file.write_bytes(empty_workbook())
    except OSError as error:
        raise click.ClickException(f'"{file}" cannot be written: {error.strerror}.') from error
    click.echo(f"Wrote {file}; fill in its sheets, then: python -m desk import {file}")


@click.command("import")
@click.argument("event", type=click.Path(path_type=Path))
@click.option("--again", is_flag=True, help="Put corrected files in the place of the event imported before.")
@click.pass_obj
def import_command(url: str, event: Path, again: bool) -> None:
    """Store the EVENT in a folder or workbook; with any fault, all are listed and nothing is stored.

    A folder that `export-event` wrote is stored as the event stood then. An event is imported again only while
    nothing was dropped off, charged or paid at its desk; what was changed there since is shown, and asked about.
    """
    files = None if (event / SO_FAR).is_file() else read_event(event)
    if again and files is None:
        raise click.UsageError(f"{event} holds an event as it stood; --again takes the files of one that begins.")
    acting = Acting(by="import", at=datetime.now(UTC))
    with Database(url) as database:
        known = _asked_about(database, files.settings["slug"]) if again and files else []
        with database.writing() as session:
            if files is None:
                stored = store_so_far(session, event, acting=acting)
            elif again:
                stored = store_again(session, files, known=known, acting=acting)
            else:
                stored = store_event(session, files, acting=acting)
    click.echo(f'Imported {stored.name}; its short name is "{stored.slug}".')
    if files is not None:
        _say_what_was_taken(files)


def _asked_about(database: Database, slug: str) -> list[str]:
    """Show what was changed at the desk since the import, and ask whether it may go."""
    with database.reading() as session:
        known = changed_since(session, slug)
    if known:
        click.echo("This was entered since the import and would be gone:")
        for line in known[-SHOWN_CHANGES:]:
            click.echo(f"  {line}")
        click.confirm(f"Import {slug} again ({counted(len(known), 'change')} would be gone)?", abort=True)
    return known


def _say_what_was_taken(files: EventFiles) -> None:
    click.echo(f"Taken in: {taken_in(files)}.")
    if played := left_to_play(files):
        click.echo(f"Not taken in: {played}. They are the script of a day that `day` and `demo` play.")
        click.echo("Take racquets in at Drop-off, where a sheet of many can be sent too.")
    if free := without_price(files):
        click.echo(f"Without a price, and so free of charge: {free}. Settings has the price list.")
    if files.remarks:
        click.echo("The days' own rules will ask about these; better look at them now:")
        for line in fault_lines(files.remarks):
            click.echo(line)
    click.echo("Next: python -m desk serve")


@click.command("export-event")
@click.argument("event")
@click.option("--out", required=True, type=click.Path(path_type=Path), help="New folder for the event.")
@click.pass_obj
def export_event_command(url: str, event: str, out: Path) -> None:
    """Write the stored EVENT (its short name) as a folder that `import` reads back as it stands."""
    with Database(url) as database, database.reading() as session:
        found = event_by_slug(session, event)
        count = write_event(session, found, out)
        click.echo(f"{found.name} is in {out}: its tables, and {count:,} rows of what happened so far.")
    click.echo("It holds the links of the players' pages: hand it on with care.")
