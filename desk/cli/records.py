"""The records as a whole: making them, copying them, bringing them back, carrying them over."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from desk.cli.account import make_first_account
from desk.cli.progress import make_planner_ready
from desk.models.database import Database
from desk.services.records import backups, moving, restoring
from desk.services.team.accounts import has_accounts


@click.command("init")
@click.option("--lead", help="Name of the desk lead, whose account is made where there is none; asked when not given.")
@click.pass_obj
def init_command(url: str, lead: str | None) -> None:
    """Make the records, or bring older ones to the newest form."""
    with Database(url) as database:
        database.upgrade()
        click.echo("The records are ready.")
        make_planner_ready()
        with database.reading() as session:
            wanted = not has_accounts(session)
        if wanted:
            make_first_account(database, lead or click.prompt("Name of the desk lead", default="lead"))


@click.command("backup")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.pass_obj
def backup_command(url: str, file: Path) -> None:
    """Write a whole, checked copy of all records to FILE, also while the desk works."""
    with Database(url) as database:
        size = backups.back_up(database, file)
    click.echo(f"Copied the records to {file} ({size:,} bytes) and read the copy through.")
    click.echo("It holds names and password hashes: keep it like a key. The key that signs sessions is not in it.")


@click.command("restore")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--set-aside", is_flag=True, help="Keep the records that stand there under another name.")
@click.pass_obj
def restore_command(url: str, file: Path, set_aside: bool) -> None:
    """Bring the records back from FILE, which `backup` wrote, into an empty place."""
    with Database(url) as database:
        aside = restoring.restore(file, database, set_aside=set_aside, now=datetime.now(UTC))
    click.echo(f"The records are back from {file}, and were read through. Everybody signs in again.")
    if aside is not None:
        click.echo(f"What stood there before is at {aside}.")


@click.command("move-records")
@click.argument("source", metavar="FROM")
@click.argument("target", metavar="TO")
def move_command(source: str, target: str) -> None:
    """Carry all records from one URL to another (SQLite, PostgreSQL) and compare them row by row.

    End `serve` and `planner` first: what they write meanwhile does not come along.
    """
    with Database(source) as one, Database(target) as other:
        counts = moving.move_records(one, other)
    click.echo(f"Rows moved: {sum(counts.values()):,}, in {len(counts)} tables; each was read again and is the same.")
