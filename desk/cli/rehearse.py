"""A rehearsal at the prompt: an event played many times before it, by several teams."""

from __future__ import annotations

import csv
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click
from sqlalchemy.orm import Session

from desk.errors import NotFound
from desk.models import Event
from desk.models.database import Database
from desk.queries.counter.counter import player_names
from desk.queries.event.events import event_by_slug
from desk.queries.rehearsal.answers import Goal
from desk.queries.rehearsal.event_picture import Assumed, picture_of
from desk.queries.rehearsal.expected_work import allotment_problem
from desk.queries.rehearsal.kept_rehearsals import FEWEST, beside, newest_rehearsal
from desk.queries.rehearsal.rehearsal_report import rehearsal_report
from desk.services.event_files import opened
from desk.services.rehearsal.asking import Asked, matches_a_day
from desk.services.rehearsal.rehearsing import Prepared, prepare, rehearse, seen_of
from desk.trade.rehearsed.picture import Picture, Risks
from exports.rehearsal.rehearsal_files import rehearsal_json, rehearsal_workbook
from exports.rehearsal.rehearsal_pictures import load_picture, promise_picture
from exports.rehearsal.rehearsal_rows import RehearsalReport, Spread
from exports.rehearsal.supplier_sheet import supplier_csv, supplier_workbook
from exports.text import guard
from solver.allotment import allot
from solver.rehearsal import EFFORT_USUAL, Progress

TEAM_HELP = '"5 from 8 to 20", "6 with a late shift", "as planned less a machine"; may be given several times.'
NUMBER, FOLDER = click.IntRange(min=0), click.Path(file_okay=False, path_type=Path)
TIMES, PER_CENT, CORES = click.IntRange(2, 5000), click.FloatRange(0, 100), click.IntRange(1, 64)
STEPS = click.IntRange(0, 5000)
EFFORT_HELP = "Steps by which the benches are planned after each change; more are nearer to the desk's own plans."
BESIDE_HELP = "Hold what came at a stored event against what was rehearsed on its screen."
SHOWN = {"show_default": True}


@click.command("rehearse")
@click.argument("event")
@click.option("--team", "teams", multiple=True, help=TEAM_HELP)
@click.option("--days", "times", default=100, type=TIMES, help="How often each day is played.", **SHOWN)
@click.option("--goal", default="98/9", help="So many in 100 on time on so many days of 10.", **SHOWN)
@click.option("--like", help="An earlier event, whose habits and cards stand in for those not known.")
@click.option("--players", type=NUMBER, help="Players, where more come than are entered.")
@click.option("--matches", help="Matches a day with commas, for days without an order of play: 5,9,6,5,4,2,1.")
@click.option("--racquets", type=float, help="Racquets a player and match.")
@click.option("--on-court", type=float, help="Racquets from a match in play, for 100 of the others.")
@click.option("--spread", default=15.0, type=PER_CENT, help="How much bench times vary, per cent.", **SHOWN)
@click.option("--rain", default=10.0, type=PER_CENT, help="Days with rain, of 100.", **SHOWN)
@click.option("--effort", default=EFFORT_USUAL, type=STEPS, help=EFFORT_HELP, **SHOWN)
@click.option("--whose", is_flag=True, help="Also propose each player's own stringer, of the first team.")
@click.option("--workers", type=CORES, help="Processes; as many as there are cores when not given.")
@click.option("--out", type=FOLDER, help="Folder for workbooks, JSON and pictures.")
@click.option(
    "--beside", "compares", is_flag=True, help="Hold a stored event's own figures against what was rehearsed."
)
@click.pass_obj
def rehearse_command(
    url: str, event: str, out: Path | None, compares: bool, like: str | None, goal: str, whose: bool, **given: Any
) -> None:
    """Play EVENT many times before it, and say which team it takes.

    EVENT is a folder or a workbook, or the short name of a stored event. What is not known yet is filled in from the
    draw; every figure stands with the band in which nine events of ten lie.
    """
    if compares:
        click.echo("\n".join(_beside_lines(url, event)))
        return
    if out is None:
        raise click.UsageError("Missing option '--out': the folder for workbooks, JSON and pictures.")
    asked = _asked(goal, given)
    earlier = None if like is None else _like(url, like)
    with opened(url, event) as (session, found, files):
        prepared = prepare(session, found, asked, seen=seen_of(session, found, files), like=earlier)
        answer = rehearse(prepared, asked, _tell)
        report = rehearsal_report(session, found, prepared.picture, answer, datetime.now(UTC))
        proposed = _proposed(session, found, prepared, out) if whose else []
    _write(report, out)
    click.echo("\n".join([*_lines(report), *proposed]))


def _beside_lines(url: str, slug: str) -> list[str]:
    """What truly came beside what was rehearsed, of a stored event."""
    with Database(url) as database, database.reading() as session:
        event = event_by_slug(session, slug)
        found = newest_rehearsal(session, event)
        if found is None:
            raise NotFound(f"{event.name} has not been rehearsed on its screen yet; there is nothing to hold against.")
        report = found[1]
        team = next((row for row in report.teams if row.team == report.least_team), report.teams[0])
        lines = beside(session, event, report, team)
    if not lines:
        return [f"{event.name}: fewer than {FEWEST} racquets have come; it is too early to say."]
    width = max(len(line.figure) for line in lines)
    return [
        f"{event.name}: what came, and what was rehearsed with {team.team}",
        *(
            f"{line.figure:{width}}  {line.true:6.0f} {line.unit:2} {line.rehearsed.low:6.0f} to "
            f"{line.rehearsed.high:.0f}{'' if line.inside else '  outside'}"
            for line in lines
        ),
        f"{sum(line.inside for line in lines)} of {len(lines)} inside.",
    ]


def _asked(goal: str, given: dict[str, Any]) -> Asked:
    on_time, _, days = goal.partition("/")
    try:
        wanted = Goal(on_time=float(on_time) / 100, days=float(days or 9) / 10)
    except ValueError as error:
        raise click.ClickException(f"--goal is written 98/9 ({error}).") from error
    assumed = Assumed(
        players=given["players"],
        matches_a_day=matches_a_day(given["matches"] or ""),
        racquets=given["racquets"],
        on_court=None if given["on_court"] is None else given["on_court"] / 100,
        risks=Risks(spread=round(given["spread"]), rain=given["rain"] / 100),
    )
    return Asked(
        teams=given["teams"],
        replications=given["times"],
        goal=wanted,
        workers=given["workers"],
        assumed=assumed,
        effort=given["effort"],
    )


def _proposed(session: Session, event: Event, prepared: Prepared, out: Path) -> list[str]:
    """Propose whose players are whose, write them to a table, and say so."""
    problem = allotment_problem(session, event, prepared.picture, prepared.teams[0])
    found = allot(problem)
    names = player_names(session, event)
    out.mkdir(parents=True, exist_ok=True)
    with (out / "whose-players.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file)
        table.writerow(("stringer", "player", "name"))
        table.writerows((who, code, guard(names[code])) for code, who in sorted(found.stringer_of.items()))
    lines = ["", f"Whose players, at most {100 * found.gap:.0f} % from the best:"]
    for hand in problem.hands:
        mine = [names[code] for code, who in sorted(found.stringer_of.items()) if who == hand.id]
        lines.append(f"{hand.id}: {', '.join(mine) or 'nobody'}")
    return lines


def _like(url: str, event: str) -> Picture:
    with opened(url, event) as (session, found, files):
        return picture_of(session, found, seen=seen_of(session, found, files))


def _tell(progress: Progress) -> None:
    click.echo(f"\r{progress.done} of {progress.of}, {progress.seconds_left:.0f} s left   ", err=True, nl=False)
    if progress.done == progress.of:
        click.echo(err=True)


def _write(report: RehearsalReport, out: Path) -> None:
    out.mkdir(parents=True, exist_ok=True)
    (out / "rehearsal.xlsx").write_bytes(rehearsal_workbook(report))
    (out / "string-order.xlsx").write_bytes(supplier_workbook(report))
    (out / "string-order.csv").write_bytes(supplier_csv(report))
    (out / "rehearsal.json").write_bytes(rehearsal_json(report))
    for number, team in enumerate(report.teams, start=1):
        hours = [row for row in report.hours if row.team == team.team]
        for day in dict.fromkeys(row.day for row in hours):
            title = f"{report.event_name}, {day}, {team.team}"
            picture = load_picture([row for row in hours if row.day == day], title, alone=True)
            (out / f"load-{day[-10:]}-team-{number}.svg").write_text(picture, encoding="utf-8")
        kept = [row for row in report.promises if row.team == team.team]
        picture = promise_picture(kept, f"Promises kept, {team.team}", alone=True)
        (out / f"promises-team-{number}.svg").write_text(picture, encoding="utf-8")


def _lines(report: RehearsalReport) -> list[str]:
    width = max(len(row.team) for row in report.teams)
    lines = [f"{report.event_name}: {report.replications} times, mean and the band of nine in ten", ""]
    lines.append(f"{'team':{width}}  {'late %':>16} {'matches hit %':>16} {'longest wait':>16} {'pad':>5} {'days':>6}")
    for row in report.teams:
        pad = "-" if row.pad_min is None else f"+{row.pad_min}"
        spreads = f"{_said(row.late_pct)} {_said(row.hit_pct)} {_said(row.longest_wait_min)}"
        lines.append(f"{row.team:{width}}  {spreads} {pad:>5} {row.good_days_pct:>5.0f}%")
    lines += ["", f"Least team for {report.goal}: {report.least_team}"]
    orders = [f"{row.order} {row.piece}{'s' * (row.order != 1)} of {row.string}" for row in report.strings if row.order]
    lines.append(f"String to order: {', '.join(orders) or 'none'}")
    return lines


def _said(spread: Spread) -> str:
    return f"{spread.mean:5.1f} {spread.low:4.0f}-{spread.high:4.0f}".rjust(16)
