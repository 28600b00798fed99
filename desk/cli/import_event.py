"""Importing an event from its files."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from desk.models.database import Database
from desk.services.acting import Acting
from desk.services.event_files import read_event, store_event


@click.command("import")
@click.argument("event", type=click.Path(path_type=Path))
@click.pass_obj
def import_command(url: str, event: Path) -> None:
    """Store the EVENT in a folder or workbook; with any fault, all are listed and nothing is stored."""
    files = read_event(event)
    with Database(url).writing() as session:
        stored = store_event(session, files, acting=Acting(by="import", at=datetime.now(UTC)))
    click.echo(f'Imported {stored.name}; its short name is "{stored.slug}".')
