"""`python -m desk …`: thin commands over the same services that the screens use."""

from __future__ import annotations

import click

from desk.cli.desk_group import DeskGroup
from desk.installation import setting

COMMANDS = {
    "account": ".account:account_command",
    "backup": ".records:backup_command",
    "day": ".day:day_command",
    "demo": ".demo:demo_command",
    "export": ".export:export_command",
    "schema": ".export:schema_command",
    "export-event": ".event_files:export_event_command",
    "import": ".event_files:import_command",
    "init": ".records:init_command",
    "move-records": ".records:move_command",
    "needed-by": ".needed_by:needed_by_command",
    "plan": ".planning:plan_command",
    "planner": ".serve.serving:planner_command",
    "restore": ".records:restore_command",
    "rehearse": ".rehearse:rehearse_command",
    "serve": ".serve.serving:serve_command",
    "take-over": ".take_over:take_over_command",
    "template": ".event_files:template_command",
}


@click.group(cls=DeskGroup, commands_at=COMMANDS, context_settings={"help_option_names": ["-h", "--help"]})
@click.option("--database", "url", metavar="URL", help="The records; DESK_DATABASE_URL when not given.")
@click.pass_context
def main(context: click.Context, url: str | None) -> None:
    """Run the stringing desk of a tournament."""
    context.obj = url or setting("DESK_DATABASE_URL")
