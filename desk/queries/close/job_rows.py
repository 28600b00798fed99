"""The jobs of a report one by one: all of them, against needed by, on the bench, left over."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from desk.models import OPEN_STATES, STATE_WORDS
from desk.queries.close.due.verdicts import Verdict, Verdicts
from desk.queries.close.facts import Facts, JobFact, minutes_between
from desk.queries.close.figures import Counted
from exports.rows.jobs import BenchTimeRow, CarriedOverRow, JobRow, NeededByRow, NeededOutcome, UncollectedRow
from exports.units import Tension


def job_rows(counted: Counted, jobs: Sequence[JobFact]) -> tuple[JobRow, ...]:
    """Every job listed; promised is the first ready time that was told, and the note says what it became."""
    return tuple(_job_row(counted, job) for job in jobs)


def _job_row(counted: Counted, job: JobFact) -> JobRow:
    is_done = counted.span.is_known(job.finished_at)
    begun = is_done or counted.states[job.job_id] == "on_machine"
    return JobRow(
        tag=job.code,
        player=job.player,
        racquet=str(job.racquet),
        state=STATE_WORDS[counted.states[job.job_id]],
        on_court=job.on_court,
        dropped_off_at=counted.wall(job.dropped_at),
        needed_by_at=counted.wall(job.needed_by_at),
        promised_at=counted.wall(job.promised_at),
        started_at=counted.local(job.started_at),
        ready_at=counted.local(job.finished_at),
        handed_over_at=counted.local(job.handed_over_at),
        bench_min=job.bench_min if is_done else None,
        stringer=job.stringer or None if begun else None,
        machine=job.machine or None if begun else None,
        **_card(counted.facts, job),
        string_m=job.string_m if is_done and job.metres is not None else None,
        charge_minor=counted.accounts.by_job.get(job.job_id),
        redo_of=job.redo_of,
        note=_note(counted, job),
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


def _note(counted: Counted, job: JobFact) -> str:
    changed = f"promise changed to {counted.wall(job.promises[-1]):%a %H:%M}" if job.is_promise_changed else ""
    held = job.held_reason if counted.states[job.job_id] == "held" else ""
    return "; ".join(filter(None, (changed, held, job.late_why, job.card_note)))


def needed_by_rows(counted: Counted, jobs: Sequence[JobFact], needed: Verdicts) -> tuple[NeededByRow, ...]:
    """One row for each racquet that was due, and for each that is open and needed later, the earliest first."""
    verdicts = {one.job.job_id: one for one in needed.all}
    still_open = [job for job in jobs if counted.states[job.job_id] in OPEN_STATES and job.needed_by_at is not None]
    due = {job.job_id: job for job in (*(one.job for one in needed.all), *still_open)}
    in_order = sorted(due.values(), key=lambda job: (job.needed_by_at, job.job_id))
    return tuple(_needed_by_row(counted, job, verdicts.get(job.job_id)) for job in in_order)


def _needed_by_row(counted: Counted, job: JobFact, verdict: Verdict | None) -> NeededByRow:
    ready_at = job.finished_at if counted.span.is_known(job.finished_at) else None
    is_in_time = verdict is not None and verdict.outcome == "in time"
    return NeededByRow(
        tag=job.code,
        player=job.player,
        needed_for=_needed_for(job),
        needed_by_at=counted.wall(job.needed_by_at),
        promised_at=counted.wall(job.promised_at),
        ready_at=counted.local(ready_at),
        spare_min=minutes_between(ready_at, job.needed_by_at),
        promise_spare_min=minutes_between(ready_at, job.promised_at),
        outcome=_outcome(verdict),
        match_begun=None if verdict is None or is_in_time else verdict.match_begun,
        reason="" if is_in_time else _why_not(counted, job),
    )


def _outcome(verdict: Verdict | None) -> NeededOutcome:
    """A racquet that is open and not counted here is needed later, or counts on the day on which it was needed."""
    if verdict is None:
        return "open"
    return "on time" if verdict.outcome == "in time" else verdict.outcome


def _why_not(counted: Counted, job: JobFact) -> str:
    if job.cancelled_at is not None and counted.span.is_known(job.cancelled_at):
        return f"given back unstrung: {job.cancelled_why}"
    if counted.states.get(job.job_id) == "held":
        return f"held: {job.held_reason}"
    return job.late_why or ("" if counted.span.is_known(job.finished_at) else "carried over")


def _needed_for(job: JobFact) -> str:
    """The match, else who asked for the time."""
    match = f"match {job.match}, {job.court}" if job.match else ""
    if job.on_court:
        return f"on court now, {match}" if match else "on court now"
    return match or job.needed_by_why


def bench_time_rows(counted: Counted, done: Sequence[JobFact]) -> tuple[BenchTimeRow, ...]:
    """One row for each racquet finished, from the machine to strung and checked."""
    return tuple(
        BenchTimeRow(
            tag=job.code,
            player=job.player,
            stringer=job.stringer,
            machine=job.machine,
            work=_work(counted.facts, job),
            started_at=counted.wall(job.started_at),
            bench_min=job.bench_min or 0.0,
            target_min=float(counted.event.target_minutes),
        )
        for job in done
        if job.started_at is not None
    )


def _work(facts: Facts, job: JobFact) -> str:
    """What makes the job longer or shorter than another: pattern, gut, hybrid, stretch, stencil, extra work."""
    gut = any(facts.strings[one].material == "natural_gut" for one in job.bed.string_ids)
    parts = {
        "{}x{}".format(*job.pattern): True,
        "gut": gut,
        "hybrid": job.bed.is_hybrid,
        "pre-stretch": any(half.pre_stretch for half in job.bed),
        "stencil": job.stencil.strip(),
        job.extra_work.replace("_", " "): job.extra_work != "none",
        "on court": job.on_court,
    }
    return ", ".join(part for part, is_so in parts.items() if is_so)


def carried_over_rows(counted: Counted, jobs: Sequence[JobFact]) -> tuple[CarriedOverRow, ...]:
    """Jobs waiting, held or on a machine at the end of the span."""
    return tuple(
        CarriedOverRow(
            tag=job.code,
            player=job.player,
            racquet=str(job.racquet),
            state=STATE_WORDS[counted.states[job.job_id]],
            dropped_off_at=counted.wall(job.dropped_at),
            needed_by_at=counted.wall(job.needed_by_at),
            promised_at=counted.wall(job.promised_at),
            reason=_why_open(counted, job),
        )
        for job in jobs
        if counted.states[job.job_id] in OPEN_STATES
    )


def _why_open(counted: Counted, job: JobFact) -> str:
    if counted.states[job.job_id] == "held":
        return job.held_reason
    if job.not_before_at is not None and job.not_before_at >= counted.span.end_at:
        return f"wanted not before {counted.wall(job.not_before_at):%a %H:%M}"
    if job.needed_by_at is not None and job.needed_by_at >= counted.span.end_at:
        return f"not needed before {counted.wall(job.needed_by_at):%a %H:%M}"
    return job.late_why


def uncollected_rows(counted: Counted) -> tuple[UncollectedRow, ...]:
    """Racquets strung and not handed over at the end of the span, whenever they were strung."""
    waiting = [job for job in counted.facts.jobs if counted.states.get(job.job_id) == "strung" and job.finished_at]
    return tuple(
        UncollectedRow(
            tag=job.code,
            player=job.player,
            racquet=str(job.racquet),
            ready_at=counted.wall(job.finished_at),
            waiting_min=max(0.0, minutes_between(job.finished_at, counted.span.end_at) or 0.0),
            note="" if job.needed_by_at is None else f"needed by {counted.wall(job.needed_by_at):%a %H:%M}",
        )
        for job in sorted(waiting, key=lambda job: (job.finished_at, job.job_id))
    )
