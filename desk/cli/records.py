"""The records as a whole: making them, copying them."""

from __future__ import annotations

from pathlib import Path

import click

from desk.models.database import Database
from desk.services.records import backups


@click.command("init")
@click.pass_obj
def init_command(url: str) -> None:
    """Make the records, or bring older ones to the newest form."""
    Database(url).upgrade()
    click.echo("The records are ready.")


@click.command("backup")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.pass_obj
def backup_command(url: str, file: Path) -> None:
    """Write a copy of all records to FILE, also while the desk works."""
    size = backups.back_up(Database(url), file)
    click.echo(f"Copied the records to {file} ({size:,} bytes).")
