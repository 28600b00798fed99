"""Whether each racquet that was needed, or promised, was ready by then; also the ones that were never strung."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Literal

from desk.queries.close.facts import JobFact, minutes_between
from desk.queries.close.span import UsageSpan
from desk.trade.play.needed_by import late_from, standing

Outcome = Literal["in time", "tight", "late", "not strung"]
BANDS = (5, 15, 30)
"""Minutes up to which a racquet is counted as late by so much: 10 is a fine, 15 a default
(Grand Slam Rule Book 2014, Code of Conduct, Art. III B)."""


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """What came of one racquet that was due.

    It falls when the racquet is ready, when its time passes, or when it goes back unstrung, whichever is first;
    so a racquet counts on one day only, and a day that is closed keeps its count. Tight is ready after it was needed
    and before the player could be called; `late_min` counts from then. It is None for any but a late one.
    `match_begun` tells of a late one whether its match was on when it was ready, or when the report ends.
    """

    job: JobFact
    outcome: Outcome
    late_min: float | None = None
    match_begun: bool = False


@dataclass(frozen=True)
class Verdicts:
    """The racquets of a span that were due, counted."""

    all: Sequence[Verdict]

    @property
    def due(self) -> int:
        return len(self.all)

    @property
    def begun(self) -> int:
        """Late or not strung, and the match had begun."""
        return sum(one.match_begun for one in self.all)

    def late_by(self) -> tuple[int, ...]:
        """How many were late by up to 5, 15 and 30 minutes, each without those before, and by more."""
        late = [one.late_min for one in self.all if one.late_min is not None]
        edges = (0, *BANDS, float("inf"))
        return tuple(sum(low < by <= high for by in late) for low, high in pairwise(edges))

    def of(self, outcome: Outcome) -> int:
        return sum(one.outcome == outcome for one in self.all)


def verdicts(jobs: Iterable[JobFact], span: UsageSpan, *, needed: bool) -> Verdicts:
    """Judge the racquets by the time they were NEEDED by, else by the ready time that was told first."""
    found = []
    for job in jobs:
        due_at = job.needed_by_at if needed else job.promised_at
        if due_at is None or job.is_taken_back:
            continue
        fell_at = min(at for at in (due_at, job.finished_at, job.cancelled_at) if at is not None)
        if span.holds(fell_at) and fell_at <= span.end_at:
            found.append(_verdict(job, due_at, job.latest_at if needed else None, span))
    return Verdicts(found)


def _verdict(job: JobFact, due_at: datetime, latest_at: datetime | None, span: UsageSpan) -> Verdict:
    ready_at = job.finished_at if span.is_known(job.finished_at) else None
    if ready_at is not None and ready_at <= due_at:
        return Verdict(job=job, outcome="in time")
    if ready_at is not None and standing(ready_at, due_at, latest_at) == "tight":
        return Verdict(job=job, outcome="tight")
    begun = job.match_started_at is not None and job.match_started_at <= (ready_at or span.end_at)
    if ready_at is None:
        return Verdict(job=job, outcome="not strung", match_begun=begun)
    return Verdict(
        job=job, outcome="late", late_min=minutes_between(late_from(due_at, latest_at), ready_at), match_begun=begun
    )
