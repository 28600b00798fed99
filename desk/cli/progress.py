"""What the terminal says during long work: a line with how far it is, and that the planner is made ready."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import click

import solver

EVERY_SECONDS = 1.0
SAID_EVERY_SECONDS = 15.0


class ProgressLine:
    """Rewrites one line on standard error, and nothing where that is no terminal.

    Parameters
    ----------
    what : str
        The work, as the line begins.
    """

    def __init__(self, what: str) -> None:
        self._what, self._began, self._said = what, time.monotonic(), ""
        self._watched, self._shown = click.get_text_stream("stderr").isatty(), -EVERY_SECONDS

    @property
    def is_due(self) -> bool:
        """Whether somebody watches and the line is a second old, where saying more costs something."""
        return self._watched and time.monotonic() - self._shown >= EVERY_SECONDS

    def show(self, share: float, where: str = "") -> None:
        """Say that SHARE (0 to 1) of the work is done, and WHERE the work is."""
        self._shown = time.monotonic()
        elapsed = self._shown - self._began
        left = f", {_spoken(elapsed / share - elapsed)} left" if share > 0.02 else ""
        self._write(f"{self._what}: {min(share, 1):.0%}{f', {where}' if where else ''}{left}")

    def end(self) -> None:
        """Leave the line as it stands."""
        if self._said and self._watched:
            click.echo("", err=True)

    def _write(self, text: str) -> None:
        if self._watched and text != self._said:
            click.echo("\r" + text.ljust(len(self._said)), nl=False, err=True)
            self._said = text


def _spoken(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 90 else f"{seconds / 60:.0f} min"


def make_planner_ready(*, bound: bool = False) -> None:
    """Compile the search, or load what an earlier start left on disk, and say so meanwhile."""
    if not solver.is_warm():
        click.echo(
            "Making the planner ready; the first time on a computer it is compiled, which takes half a minute, "
            "on a busy one a few minutes.",
            err=True,
        )
    with said_while("The planner is still being compiled"):
        solver.warm_up(bound=bound)


@contextmanager
def said_while(what: str, *, every_seconds: float = SAID_EVERY_SECONDS) -> Iterator[None]:
    """Say on standard error, every so often, that work goes on and for how long."""
    began, over = time.monotonic(), threading.Event()

    def say() -> None:
        while not over.wait(every_seconds):
            click.echo(f"{what}: {_spoken(time.monotonic() - began)} so far.", err=True)

    saying = threading.Thread(target=say, daemon=True)
    saying.start()
    try:
        yield
    finally:
        over.set()
        saying.join()
