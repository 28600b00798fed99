"""An event folder played without a screen: who strings what, pickup times, sheets, workloads and plans."""

from __future__ import annotations

import json
import tempfile
from bisect import bisect_right
from collections import Counter
from datetime import datetime, timedelta
from pathlib import Path

import click
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.cli.progress import ProgressLine, make_planner_ready
from desk.models import Event, EventDay, Job
from desk.models.database import Database
from desk.queries.bench.strung import StrungRow, late_and_tight_strung, strung_rows
from desk.queries.close import usage_files
from desk.queries.plan.measures import late_and_tight
from desk.queries.plan.workloads import Moment
from desk.queries.play.play_records import clock_of
from desk.services.acting import Acting
from desk.services.event_files import EventScript, read_event, script_of, store_event
from desk.services.plan.planning import Effort, read_moment, solve
from desk.services.played_day import DayPlayer, Step
from desk.trade.event.event_time import span

STEPS = 20_000
SECONDS = 5.0
NIGHT = timedelta(hours=4)


@click.command("day")
@click.argument("event", type=click.Path(exists=True, path_type=Path))
@click.option("--out", required=True, type=click.Path(file_okay=False, path_type=Path), help="Folder for the results.")
@click.option("--steps", default=STEPS, show_default=True, help="Search steps for each plan; the same give the same.")
@click.option("--quiet", is_flag=True, help="Print no progress.")
def day_command(event: Path, out: Path, steps: int, quiet: bool) -> None:
    """Play every day of EVENT (a folder or a workbook) and write its sheets, workloads and plans."""
    files = read_event(event)
    out.mkdir(parents=True, exist_ok=True)
    make_planner_ready()
    with tempfile.TemporaryDirectory() as folder:
        database = Database(f"sqlite:///{folder}/played.sqlite")
        database.upgrade()
        with database.writing() as session:
            at = files.clock.to_utc(0)
            event_id = store_event(session, files, acting=Acting(by="files", at=at)).id
        run = _Run(database, event_id, script_of(files), Effort(seconds=SECONDS, steps=steps), out, quiet=quiet)
        run.play()
        run.report()
        database.dispose()


class _Run:
    """One event being played into one folder."""

    def __init__(
        self, database: Database, event_id: int, script: EventScript, effort: Effort, out: Path, *, quiet: bool
    ) -> None:
        self.database, self.event_id, self.effort, self.out, self.quiet = database, event_id, effort, out, quiet
        self.player = DayPlayer(database, event_id, script, effort=effort)
        self.dropped_at = sorted(one.at for one in script.drop_offs for _ in one.racquets)
        self.progress = ProgressLine("Playing")
        self.refused: list[tuple[datetime, str]] = []
        with database.reading() as session:
            self.event = session.get_one(Event, event_id)
            self.clock = clock_of(session, self.event)
            self.days = list(self.event.days)

    def play(self) -> None:
        """Play day after day, with the workload and the plan of each opening kept."""
        now = self.days[0].opens_at - timedelta(days=1)
        for number, day in enumerate(self.days):
            self.player.advance(now, day.opens_at - timedelta(seconds=1), self._on_step)
            self._keep_opening(day)
            night = (
                self.days[number + 1].opens_at if number + 1 < len(self.days) else day.closes_at + timedelta(hours=8)
            )
            self.player.advance(day.opens_at - timedelta(seconds=1), night - timedelta(seconds=1), self._on_step)
            now = night - timedelta(seconds=1)
            self._write_day(day)
        with self.database.reading() as session:
            event = session.get_one(Event, self.event_id)
            usage_files.write_usage(session, event, None, self.out / "usage-event.xlsx", at=now)
            usage_files.write_tables(session, event, self.out / "tables", at=now)

    def report(self) -> None:
        """Print who strung what, when each racquet could be fetched, and what was late and why."""
        with self.database.reading() as session:
            rows = strung_rows(session, session.get_one(Event, self.event_id))
            for row in rows:
                click.echo(self._line(row))
            for line in _left_open(session, self.event_id):
                click.echo(line)
        found = Counter(row.standing for row in rows)
        click.echo(f"Strung: {len(rows)} racquets, {found['late']} late, {found['tight']} tight")
        if self.refused:
            count = self.player.racquets_refused
            click.echo(
                f"Refused: {count} {'racquet' if count == 1 else 'racquets'}, {len(self.refused)} entries in all"
            )
        for at, sentence in self.refused:
            click.echo(f"! {self.clock.weekday_hhmm(at)} {sentence}")

    def _line(self, row: StrungRow) -> str:
        start, end, fetched = (
            "-" if at is None else self.clock.weekday_hhmm(at)
            for at in (row.started_at, row.finished_at, row.fetched_at)
        )
        promised = "-" if row.promised_at is None else self.clock.weekday_hhmm(row.promised_at)
        late = f"  LATE {span(row.late_min)}: {row.late_why}" if row.late_min else "  tight" if row.standing else ""
        return (
            f"{start}  {row.stringer} on {row.machine}: {row.code}, {row.player} racquet {row.racquet_number}, "
            f"done {end}, promised {promised}, picked up {fetched}{late}"
        )

    def _on_step(self, step: Step) -> None:
        self.refused.extend((step.at, sentence) for sentence in step.refused)
        if not self.quiet and self.progress.is_due:
            share = bisect_right(self.dropped_at, step.at) / max(1, len(self.dropped_at))
            self.progress.show(share, f"{self.clock.weekday_hhmm(step.at)}, {self._standings()}")

    def _standings(self) -> str:
        """Say how many racquets were strung late or tight, or will be by the plan in force."""
        with self.database.reading() as session:
            event = session.get_one(Event, self.event_id)
            found = late_and_tight_strung(session, event) + late_and_tight(session, event)
        return f"{found['late']} late, {found['tight']} tight"

    def _keep_opening(self, day: EventDay) -> None:
        with self.database.writing() as session:
            moment: Moment = read_moment(session, self.event_id, day.opens_at)
        plan, _ = solve(moment, self.effort)
        for name, content in (("workload", moment.workload.to_dict()), ("plan", plan.to_dict())):
            file = self.out / f"{day.date.isoformat()}-{name}.json"
            file.write_text(json.dumps(content, indent=1) + "\n", encoding="utf-8")

    def _write_day(self, day: EventDay) -> None:
        file = self.out / f"usage-{day.date.isoformat()}.xlsx"
        with self.database.reading() as session:
            event = session.get_one(Event, self.event_id)
            usage_files.write_usage(session, event, day.date, file, at=day.closes_at)


def _left_open(session: Session, event_id: int) -> list[str]:
    jobs = session.scalars(
        select(Job).where(Job.event_id == event_id, Job.state.in_(("waiting", "held", "on_machine"))).order_by(Job.id)
    )
    return [
        f"! {job.code} of {job.player.called} is still {job.state}: {job.held_reason or 'no time was left'}"
        for job in jobs
    ]
