"""Planning a stored event once, at the prompt."""

from __future__ import annotations

from datetime import datetime

import click

from desk.cli.progress import make_planner_ready
from desk.models.database import Database
from desk.queries.event.events import event_by_slug
from desk.queries.plan.plan_board import plan_board
from desk.queries.plan.plan_rows import PlanBoard
from desk.services.acting import event_now
from desk.services.plan.planning import Effort, plan_event


@click.command("plan")
@click.argument("event")
@click.option("--seconds", default=5.0, show_default=True, help="Time to think.")
@click.pass_obj
def plan_command(url: str, event: str, seconds: float) -> None:
    """Plan the stored EVENT (its short name) now and print who strings what."""
    database = Database(url)
    with database.reading() as session:
        found = event_by_slug(session, event)
        at: datetime = event_now(found)
    make_planner_ready(bound=True)
    plan_event(database, found.id, at=at, effort=Effort(seconds=seconds, bound=True))
    with database.reading() as session:
        print_board(plan_board(session, event_by_slug(session, event), at))


def print_board(board: PlanBoard) -> None:
    """Print a plan, a line a racquet, and what is wrong below it."""
    for row in board.rows:
        click.echo(f"{row.name}")
        for block in row.blocks:
            mark = f"  {block.mark}" if block.mark else ""
            click.echo(
                f"  {board.clock(block.start_at)}-{board.clock(block.end_at)}  {block.code}  {block.player} "
                f"racquet {block.racquet_number} on {block.machine}{mark}"
            )
    for line in board.wrong:
        click.echo(f"! {line.code} {line.player}: {line.sentence}")
    click.echo(f"{board.total} points, at least {board.bound} for any plan.")
