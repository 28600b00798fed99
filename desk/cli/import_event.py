"""Importing an event from its files."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

import click

from desk.cli.desk_group import fault_lines
from desk.errors import InputFault
from desk.models.database import Database
from desk.services.acting import Acting
from desk.services.event_files import SO_FAR, read_event, store_event, store_so_far


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
