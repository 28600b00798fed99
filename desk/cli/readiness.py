"""Saying what is done while the planner's compiled part is made ready."""

import click

import solver


def make_planner_ready(*, bound: bool = False) -> None:
    """Compile the search, or load what an earlier start left on disk, and say so meanwhile."""
    if not solver.is_warm():
        click.echo("Making the planner ready; the first time on a computer this takes some ten seconds.", err=True)
    solver.warm_up(bound=bound)
