"""Needed-by times at the prompt, of an event in files or in the records."""

from __future__ import annotations

from pathlib import Path

import click

from desk.queries.play.needed_by_table import needed_by_csv, needed_by_rows
from desk.queries.play.play_records import clock_of
from desk.services.acting import event_now
from desk.services.event_files import opened, script_of
from desk.services.played_day import play_so_far


@click.command("needed-by")
@click.argument("event")
@click.option("--at", "moment", metavar='"DAY HH:MM"', help='As known then, e.g. "Tue 14:05"; now when not given.')
@click.option("--out", required=True, type=click.Path(dir_okay=False, path_type=Path), help="CSV file to write.")
@click.pass_obj
def needed_by_command(url: str, event: str, moment: str | None, out: Path) -> None:
    """Write when each match of EVENT starts and by when its players need their racquets.

    EVENT is a folder or a workbook, or the short name of a stored event. An event in files stands as
    before its first match, or with --at as its incidents of play up to then have left it.
    """
    with opened(url, event, as_it_stood=False) as (session, found, files):
        clock = clock_of(session, found)
        last = max((day.date for day in found.days), default=None)
        now = event_now(found) if files is None else files.clock.to_utc(0)
        at = now if moment is None else clock.parse_moment(moment, last)
        refused = [] if files is None else play_so_far(session, found.id, script_of(files), at)
        rows = needed_by_rows(session, found, at)
        told = clock.weekday_hhmm(at)
    out.write_text(needed_by_csv(rows), encoding="utf-8")
    for sentence in refused:
        click.echo(f"Not played: {sentence}", err=True)
    matches = len({row.match for row in rows})
    click.echo(f"{out}: {matches} matches, {len(rows)} rows, as known on {told}")
