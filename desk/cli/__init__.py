"""`python -m desk …`: thin commands over the same services that the screens use."""

from __future__ import annotations

import click

from desk.settings import setting

from .day import day_command
from .demo import demo_command
from .failures import DeskGroup
from .needed_by import needed_by_command
from .planning import plan_command
from .records import backup_command, init_command
from .serving import planner_command, serve_command


@click.group(cls=DeskGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.option("--database", "url", metavar="URL", help="The records; DESK_DATABASE_URL when not given.")
@click.pass_context
def main(context: click.Context, url: str | None) -> None:
    """Run the stringing desk of a tournament."""
    context.obj = url or setting("DESK_DATABASE_URL")


for command in (
    backup_command,
    day_command,
    demo_command,
    init_command,
    needed_by_command,
    plan_command,
    planner_command,
    serve_command,
):
    main.add_command(command)
