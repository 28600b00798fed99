"""The jobs of a report one by one: all of them, against needed by, on the bench, left over."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from desk.models import OPEN_STATES, STATE_WORDS, Event
from desk.queries.close.due.verdicts import Verdict, Verdicts
from desk.queries.close.facts import Facts, JobFact, minutes_between
from desk.queries.close.span import UsageSpan
from desk.trade.event.event_time import EventClock
from exports.rows import BenchTimeRow, CarriedOverRow, JobRow, NeededByRow, NeededOutcome, UncollectedRow
from exports.units import Tension

EXTRA_WORK = {
    "none": "",
    "grommets": "grommets",
    "grip": "grip",
    "overgrip": "overgrip",
    "grommets_and_grip": "grommets and grip",
    "grommets_and_overgrip": "grommets and overgrip",
}


@dataclass(frozen=True, kw_only=True)
class JobTables:
    """What the tables of single jobs are made of.

    A job is listed when it came, was finished or was cancelled within the span, or is open at its end;
    what happened to it later is not told.
    """

    event: Event
    facts: Facts
    span: UsageSpan
    clock: EventClock
    states: Mapping[int, str]
    cancelled: set[int]
    charged: Mapping[int, int]

    def listed(self) -> list[JobFact]:
        return [job for job in self.facts.jobs if job.job_id in self.states and self._is_listed(job)]

    def _is_listed(self, job: JobFact) -> bool:
        return (
            self.span.holds(job.dropped_at)
            or self.span.holds(job.finished_at)
            or job.job_id in self.cancelled
            or self.states[job.job_id] in OPEN_STATES
        )

    def local(self, at: datetime | None) -> datetime | None:
        """A moment on the event's wall clock, to the minute; None where it lies after the report."""
        if at is None or not self.span.is_known(at):
            return None
        return self.wall(at)

    def wall(self, at: datetime) -> datetime:
        return self.clock.local(at).replace(tzinfo=None, second=0, microsecond=0)


def job_rows(tables: JobTables, jobs: Sequence[JobFact]) -> tuple[JobRow, ...]:
    """Every job listed; promised is the first ready time that was told, and the note says what it became."""
    return tuple(_job_row(tables, job) for job in jobs)


def _job_row(tables: JobTables, job: JobFact) -> JobRow:
    is_done = tables.span.is_known(job.finished_at)
    begun = is_done or tables.states[job.job_id] == "on_machine"
    return JobRow(
        tag=job.code,
        player=job.player,
        racquet=str(job.racquet),
        state=STATE_WORDS[tables.states[job.job_id]],
        on_court=job.on_court,
        dropped_off_at=tables.wall(job.dropped_at),
        needed_by_at=None if job.needed_by_at is None else tables.wall(job.needed_by_at),
        promised_at=None if job.promised_at is None else tables.wall(job.promised_at),
        started_at=tables.local(job.started_at),
        ready_at=tables.local(job.finished_at),
        handed_over_at=tables.local(job.handed_over_at),
        bench_min=job.bench_min if is_done else None,
        stringer=job.stringer or None if begun else None,
        machine=job.machine or None if begun else None,
        **_card(tables.facts, job),
        string_m=job.string_m if is_done and job.metres is not None else None,
        charge_minor=tables.charged.get(job.job_id),
        redo_of=job.redo_of,
        note=_note(tables, job),
    )


def _card(facts: Facts, job: JobFact) -> dict[str, object]:
    columns: dict[str, object] = {"knots": 2 * job.pieces}
    for part, half in job.bed.items():
        columns[part] = facts.label(half.string_id)
        columns[f"{part}_tension"] = spoken(half.tension, half.unit)
        columns[f"{part}_pre_stretch_pct"] = float(half.pre_stretch) or None
    return columns


def spoken(value: Decimal, unit: str) -> Tension:
    """A tension as the sheets take it: the spoken value with its unit."""
    return Tension(value=float(value), unit="kg" if unit == "kg" else "lb")


def _note(tables: JobTables, job: JobFact) -> str:
    parts = []
    if job.is_promise_changed:
        parts.append(f"promise changed to {tables.wall(job.promises[-1]):%a %H:%M}")
    if tables.states[job.job_id] == "held" and job.held_reason:
        parts.append(job.held_reason)
    if job.late_why:
        parts.append(job.late_why)
    if job.card_note:
        parts.append(job.card_note)
    return "; ".join(parts)


def needed_by_rows(tables: JobTables, jobs: Sequence[JobFact], needed: Verdicts) -> tuple[NeededByRow, ...]:
    """One row for each racquet that was due, and for each that is open and needed later, the earliest first."""
    counted = {one.job.job_id: one for one in needed.all}
    still_open = [job for job in jobs if tables.states[job.job_id] in OPEN_STATES and job.needed_by_at is not None]
    due = {job.job_id: job for job in (*(one.job for one in needed.all), *still_open)}
    return tuple(
        _needed_by_row(tables, job, counted.get(job.job_id)) for job in sorted(due.values(), key=_by_needed_by)
    )


def _by_needed_by(job: JobFact) -> tuple[datetime | None, int]:
    return job.needed_by_at, job.job_id


def _needed_by_row(tables: JobTables, job: JobFact, verdict: Verdict | None) -> NeededByRow:
    assert job.needed_by_at is not None
    ready_at = job.finished_at if tables.span.is_known(job.finished_at) else None
    return NeededByRow(
        tag=job.code,
        player=job.player,
        needed_for=_needed_for(job),
        needed_by_at=tables.wall(job.needed_by_at),
        promised_at=None if job.promised_at is None else tables.wall(job.promised_at),
        ready_at=tables.local(ready_at),
        spare_min=minutes_between(ready_at, job.needed_by_at),
        promise_spare_min=minutes_between(ready_at, job.promised_at),
        outcome=_outcome(verdict),
        match_begun=verdict.match_begun if verdict and verdict.outcome != "in time" else None,
        reason="" if verdict and verdict.outcome == "in time" else _why_not(tables, job),
    )


def _outcome(verdict: Verdict | None) -> NeededOutcome:
    """A racquet that is open and not counted here is needed later, or counts on the day on which it was needed."""
    if verdict is None:
        return "open"
    return "on time" if verdict.outcome == "in time" else verdict.outcome


def _why_not(tables: JobTables, job: JobFact) -> str:
    if job.cancelled_at is not None and tables.span.is_known(job.cancelled_at):
        return f"given back unstrung: {job.cancelled_why}"
    if tables.states.get(job.job_id) == "held":
        return f"held: {job.held_reason}"
    return job.late_why or ("" if tables.span.is_known(job.finished_at) else "carried over")


def _needed_for(job: JobFact) -> str:
    """The match, else who asked for the time."""
    match = f"match {job.match}, {job.court}" if job.match else ""
    if job.on_court:
        return ", ".join(part for part in ("on court now", match) if part)
    return match or job.needed_by_why


def bench_time_rows(tables: JobTables, done: Sequence[JobFact]) -> tuple[BenchTimeRow, ...]:
    """One row for each racquet finished, from the machine to strung and checked."""
    return tuple(
        BenchTimeRow(
            tag=job.code,
            player=job.player,
            stringer=job.stringer,
            machine=job.machine,
            work=_work(tables.facts, job),
            started_at=tables.wall(job.started_at),
            bench_min=job.bench_min or 0.0,
            target_min=float(tables.event.target_minutes),
        )
        for job in done
        if job.started_at is not None
    )


def _work(facts: Facts, job: JobFact) -> str:
    """What makes the job longer or shorter than another: pattern, gut, hybrid, stretch, stencil, extra work."""
    gut = any(facts.strings[one].material == "natural_gut" for one in job.bed.string_ids)
    parts = ["{}x{}".format(*job.pattern), "gut" if gut else "", "hybrid" if job.bed.is_hybrid else ""]
    parts.append("pre-stretch" if any(half.pre_stretch for half in job.bed) else "")
    parts.append("stencil" if job.stencil.strip() else "")
    parts.append(EXTRA_WORK.get(job.extra_work, ""))
    parts.append("on court" if job.on_court else "")
    return ", ".join(part for part in parts if part)


def carried_over_rows(tables: JobTables, jobs: Sequence[JobFact]) -> tuple[CarriedOverRow, ...]:
    """Jobs waiting, held or on a machine at the end of the span."""
    return tuple(
        CarriedOverRow(
            tag=job.code,
            player=job.player,
            racquet=str(job.racquet),
            state=STATE_WORDS[tables.states[job.job_id]],
            dropped_off_at=tables.wall(job.dropped_at),
            needed_by_at=None if job.needed_by_at is None else tables.wall(job.needed_by_at),
            promised_at=None if job.promised_at is None else tables.wall(job.promised_at),
            reason=_why_open(tables, job),
        )
        for job in jobs
        if tables.states[job.job_id] in OPEN_STATES
    )


def _why_open(tables: JobTables, job: JobFact) -> str:
    if tables.states[job.job_id] == "held":
        return job.held_reason
    if job.not_before_at is not None and job.not_before_at >= tables.span.end_at:
        return f"wanted not before {tables.wall(job.not_before_at):%a %H:%M}"
    if job.needed_by_at is not None and job.needed_by_at >= tables.span.end_at:
        return f"not needed before {tables.wall(job.needed_by_at):%a %H:%M}"
    return job.late_why


def uncollected_rows(tables: JobTables) -> tuple[UncollectedRow, ...]:
    """Racquets strung and not handed over at the end of the span, whenever they were strung."""
    waiting = [job for job in tables.facts.jobs if tables.states.get(job.job_id) == "strung" and job.finished_at]
    return tuple(
        UncollectedRow(
            tag=job.code,
            player=job.player,
            racquet=str(job.racquet),
            ready_at=tables.wall(job.finished_at),
            waiting_min=max(0.0, minutes_between(job.finished_at, tables.span.end_at) or 0.0),
            note="" if job.needed_by_at is None else f"needed by {tables.wall(job.needed_by_at):%a %H:%M}",
        )
        for job in sorted(waiting, key=lambda job: (job.finished_at, job.job_id))
    )
