"""Writing an event as files."""

from __future__ import annotations

from pathlib import Path

import click

from desk.models.database import Database
from desk.queries.event.events import event_by_slug
from desk.services.event_files import write_event


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
