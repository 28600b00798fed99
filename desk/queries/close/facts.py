"""The jobs of an event as a usage report counts them, read in a fixed number of statements."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session, aliased

from desk.models import (
    Court,
    Event,
    Frame,
    HandOver,
    Job,
    JobCard,
    Machine,
    Match,
    Player,
    Promise,
    Racquet,
    StateChange,
    Stringer,
    StringType,
)
from desk.queries.close.due.needs import Leads, begun_matches, needed_values
from desk.queries.close.span import UsageSpan
from desk.queries.row_making import grouped
from desk.queries.string.lengths import JobMetres, metres_by_job
from desk.queries.string.store import string_label
from desk.trade.racquet.bed import HalfCard, StringBed
from desk.trade.racquet.string_length import Pattern

TAKEN_BACK = "undone"
"""The reason of a cancelled job whose drop-off was taken back."""

NOT_CANCELLED = {"cancelled_at": None, "cancelled_why": ""}


@dataclass(frozen=True, kw_only=True, slots=True)
class JobFact:
    """One job with its card and what came of it; times are UTC.

    `promises` are the ready times told for it, the first first. `needed_by_at` and `match` are those of the match
    that it was dropped off for, also when that was played without it. `cancelled_at` is set while it is cancelled.
    """

    job_id: int
    code: str
    state: str
    held_reason: str
    late_why: str
    on_court: bool
    redo_of: str | None
    player_id: int
    player: str
    racquet: int
    dropped_at: datetime
    called_at: datetime | None
    not_before_at: datetime | None
    needed_by_kind: str
    needed_by_at: datetime | None
    latest_at: datetime | None
    needed_by_why: str
    match: str | None
    court: str | None
    match_started_at: datetime | None
    cancelled_at: datetime | None
    cancelled_why: str
    started_at: datetime | None
    finished_at: datetime | None
    handed_over_at: datetime | None
    stringer_id: int | None
    stringer: str
    machine_id: int | None
    machine: str
    pattern: Pattern
    mains: HalfCard
    crosses: HalfCard
    pieces: int
    stencil: str
    extra_work: str
    card_note: str
    promises: tuple[datetime, ...]
    metres: JobMetres | None

    @property
    def bench_min(self) -> float | None:
        """Minutes from the racquet going on the machine to strung and checked."""
        return minutes_between(self.started_at, self.finished_at)

    @property
    def wanted_since(self) -> datetime:
        """When it came, or was called for from the court."""
        return self.called_at or self.dropped_at

    @property
    def is_taken_back(self) -> bool:
        """Whether it is no job at all: its drop-off was taken back."""
        return self.cancelled_at is not None and self.cancelled_why == TAKEN_BACK

    @property
    def bed(self) -> StringBed[HalfCard]:
        return StringBed(self.mains, self.crosses)

    @property
    def promised_at(self) -> datetime | None:
        """The first ready time that the player was told: changing a promise does not keep it."""
        return self.promises[0] if self.promises else None

    @property
    def is_promise_changed(self) -> bool:
        return len(set(self.promises)) > 1

    @property
    def string_m(self) -> float:
        return 0.0 if self.metres is None else self.metres.total_m


@dataclass(frozen=True, kw_only=True)
class Facts:
    """Every job of an event; `strings` are its strings by id."""

    jobs: Sequence[JobFact]
    strings: Mapping[int, StringType]

    def label(self, string_id: int) -> str:
        return string_label(self.strings[string_id])

    def finished(self, span: UsageSpan) -> list[JobFact]:
        """The racquets finished within a span, in order of finish."""
        done = [job for job in self.jobs if span.holds(job.finished_at)]
        return sorted(done, key=lambda job: (job.finished_at, job.job_id))


def minutes_between(start: datetime | None, end: datetime | None) -> float | None:
    """Elapsed minutes between two moments in UTC, so that a clock change does not count."""
    return None if start is None or end is None else (end - start).total_seconds() / 60


def read_facts(session: Session, event: Event) -> Facts:
    """Return the jobs of an event in six statements."""
    strings = session.scalars(select(StringType).where(StringType.event_id == event.id))
    promises = _promises(session, event)
    metres = metres_by_job(session, event)
    begun, cancelled = begun_matches(session, event), _cancellations(session, event)
    leads = Leads.of(event)
    jobs = []
    for row in session.execute(_jobs(event)):
        values = dict(row._mapping) | {"promises": promises.get(row.job_id, ()), "metres": metres.get(row.job_id)}
        values |= cancelled.get(row.job_id, NOT_CANCELLED) if row.state == "cancelled" else NOT_CANCELLED
        jobs.append(JobFact(**values | needed_values(values, begun.get(row.player_id, ()), leads)))
    return Facts(jobs=jobs, strings={string.id: string for string in strings})


def _cancellations(session: Session, event: Event) -> dict[int, dict[str, Any]]:
    found = (
        select(StateChange.job_id, StateChange.at, StateChange.note)
        .join(Job, Job.id == StateChange.job_id)
        .where(Job.event_id == event.id, StateChange.to_state == "cancelled")
        .order_by(StateChange.id)
    )
    return {job_id: {"cancelled_at": at, "cancelled_why": why} for job_id, at, why in session.execute(found)}


def _promises(session: Session, event: Event) -> dict[int, tuple[datetime, ...]]:
    found = (
        select(Promise.job_id, Promise.ready_at)
        .join(Job, Job.id == Promise.job_id)
        .where(Job.event_id == event.id)
        .order_by(Promise.id)
    )
    return {job_id: tuple(times) for job_id, times in grouped(session.execute(found)).items()}


def _columns(first: type[Job]) -> Iterator[ColumnElement]:
    """Yield the columns of `JobFact`; FIRST is the job that a redo repeats."""
    yield from (Job.id.label("job_id"), Job.code, Job.state, Job.held_reason, Job.late_why, Job.on_court)
    yield from (first.code.label("redo_of"), Job.player_id, Player.called.label("player"))
    yield from (Racquet.number.label("racquet"), Frame.pattern)
    yield from (Match.code.label("match"), Court.name.label("court"), Match.started_at.label("match_started_at"))
    yield from (Job.dropped_at, Job.called_at, Job.not_before_at, Job.needed_by_kind, Job.needed_by_why)
    yield from (Job.needed_by_at, Job.latest_at)
    yield from (Job.started_at, Job.finished_at, HandOver.at.label("handed_over_at"))
    yield from (Job.stringer_id, func.coalesce(Stringer.name, "").label("stringer"))
    yield from (Job.machine_id, func.coalesce(Machine.name, "").label("machine"))
    yield from (JobCard.mains, JobCard.crosses, JobCard.pieces, JobCard.stencil, JobCard.extra_work)
    yield JobCard.note.label("card_note")


def _jobs(event: Event):
    first = aliased(Job)
    return (
        select(*_columns(first))
        .join(Player, Player.id == Job.player_id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .join(Frame, Frame.id == Racquet.frame_id)
        .join(JobCard, JobCard.job_id == Job.id)
        .outerjoin(first, first.id == Job.redo_of_id)
        .outerjoin(Stringer, Stringer.id == Job.stringer_id)
        .outerjoin(Machine, Machine.id == Job.machine_id)
        .outerjoin(Match, Match.id == Job.match_id)
        .outerjoin(Court, Court.id == Match.court_id)
        .outerjoin(HandOver, HandOver.id == Job.hand_over_id)
        .where(Job.event_id == event.id)
        .order_by(Job.dropped_at, Job.id)
    )


def states_at_end(session: Session, event: Event, span: UsageSpan, facts: Facts) -> dict[int, str]:
    """Return the state in which each job known by then was at the end of a span.

    Read backwards from the present state: a job that changed later was, before its first later change,
    in the state that this change left.
    """
    later: dict[int, str] = {}
    if span.to_at is not None:
        first = (
            select(func.min(StateChange.id).label("id"))
            .join(Job, Job.id == StateChange.job_id)
            .where(Job.event_id == event.id, StateChange.at >= span.to_at)
            .group_by(StateChange.job_id)
            .subquery()
        )
        found = select(StateChange.job_id, StateChange.from_state).join(first, first.c.id == StateChange.id)
        later = dict(session.execute(found).all())
    states = {job.job_id: later.get(job.job_id, job.state) for job in facts.jobs if span.is_known(job.dropped_at)}
    return {job_id: state for job_id, state in states.items() if state}


def cancelled_in(session: Session, event: Event, span: UsageSpan) -> set[int]:
    """Return the jobs that were cancelled within a span."""
    found = (
        select(StateChange.job_id)
        .join(Job, Job.id == StateChange.job_id)
        .where(Job.event_id == event.id, StateChange.to_state == "cancelled", span.within(StateChange.at))
    )
    return set(session.scalars(found))
