"""An event as files: the empty workbook, an event imported, an event written."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

import click

from desk.cli.desk_group import fault_lines
from desk.errors import InputFault
from desk.models.database import Database
from desk.queries.event.events import event_by_slug
from desk.services.acting import Acting
from desk.services.event_files import SO_FAR, empty_workbook, read_event, store_event, store_so_far, write_event


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
@click.pass_obj
def import_command(url: str, event: Path) -> None:
    """Store the EVENT in a folder or workbook; with any fault, all are listed and nothing is stored.

    A folder that `export-event` wrote is stored as the event stood then.
    """
    remarks: Sequence[InputFault] = ()
    acting = Acting(by="import", at=datetime.now(UTC))
    if (event / SO_FAR).is_file():
        with Database(url) as database, database.writing() as session:
            stored = store_so_far(session, event, acting=acting)
    else:
        files = read_event(event)
        remarks = files.remarks
        with Database(url) as database, database.writing() as session:
            stored = store_event(session, files, acting=acting)
    click.echo(f'Imported {stored.name}; its short name is "{stored.slug}".')
    if remarks:
        click.echo("The days' own rules will ask about these; better look at them now:")
        for line in fault_lines(remarks):
            click.echo(line)


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
