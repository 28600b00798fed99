"""The records as a whole: making them, copying them."""

from __future__ import annotations

from pathlib import Path

import click

from desk.cli.account import make_first_account
from desk.models.database import Database
from desk.services.records import backups
from desk.services.team.accounts import has_accounts


@click.command("init")
@click.option("--lead", help="Name of the desk lead, whose account is made where there is none; asked when not given.")
@click.pass_obj
def init_command(url: str, lead: str | None) -> None:
    """Make the records, or bring older ones to the newest form."""
    database = Database(url)
    database.upgrade()
    click.echo("The records are ready.")
    with database.reading() as session:
        wanted = not has_accounts(session)
    if wanted:
        make_first_account(database, lead or click.prompt("Name of the desk lead", default="lead"))


@click.command("backup")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.pass_obj
def backup_command(url: str, file: Path) -> None:
    """Write a copy of all records to FILE, also while the desk works."""
    size = backups.back_up(Database(url), file)
    click.echo(f"Copied the records to {file} ({size:,} bytes).")
