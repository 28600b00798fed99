"""The figures that are asked first, each by the definition in its function's docstring."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import fmean
from typing import Any

from desk.models import OPEN_STATES, Event
from desk.queries.close.due.verdicts import Verdicts, verdicts
from desk.queries.close.facts import Facts, JobFact, minutes_between
from desk.queries.close.money_of_span import Accounts
from desk.queries.close.span import UsageSpan
from desk.queries.row_making import row_of
from desk.trade.event.event_time import EventClock
from exports.report import Summary
from exports.rows.mishaps import MishapRow
from exports.rows.stock import ReelRow
from exports.rows.work import DayRow, HourRow


@dataclass(frozen=True, kw_only=True)
class Done:
    """The racquets finished in a span, counted.

    Finished is what a stringer has called strung and nobody took back, a redo once more. What was needed or
    promised and not finished is in `verdicts`.
    """

    jobs: Sequence[JobFact]

    @property
    def racquets(self) -> int:
        return len(self.jobs)

    @property
    def players(self) -> int:
        return len({job.player_id for job in self.jobs})

    @property
    def with_needed_by(self) -> int:
        return sum(job.needed_by_at is not None for job in self.jobs)

    @property
    def on_time(self) -> int:
        ready = [(job.finished_at, job.needed_by_at) for job in self.jobs]
        return sum(at is not None and by is not None and at <= by for at, by in ready)

    @property
    def promises_changed(self) -> int:
        return sum(job.is_promise_changed for job in self.jobs)

    @property
    def on_court(self) -> int:
        return sum(job.on_court for job in self.jobs)

    @property
    def on_court_mean_min(self) -> float | None:
        """Mean minutes to finished of the racquets from a match in play: from drop-off, or from the call for one."""
        return mean([minutes_between(job.wanted_since, job.finished_at) for job in self.jobs if job.on_court])

    @property
    def bench_mean_min(self) -> float | None:
        return mean([job.bench_min for job in self.jobs])

    @property
    def ready_mean_min(self) -> float | None:
        """Mean minutes from drop-off to finished, nights among them."""
        return mean([minutes_between(job.dropped_at, job.finished_at) for job in self.jobs])

    @property
    def busy_min(self) -> float:
        return sum(job.bench_min or 0.0 for job in self.jobs)

    @property
    def string_m(self) -> float:
        """Metres booked into these racquets, without what was cut off."""
        return round(sum(job.string_m for job in self.jobs), 2)

    @property
    def redo(self) -> int:
        """Of these, those that string an earlier job again."""
        return sum(job.redo_of is not None for job in self.jobs)

    def within(self, target_min: float) -> int:
        return sum(job.bench_min is not None and job.bench_min <= target_min for job in self.jobs)


def mean(values: Sequence[float | None]) -> float | None:
    """The mean of what is known; None of nothing."""
    known = [value for value in values if value is not None]
    return fmean(known) if known else None


@dataclass(frozen=True, kw_only=True)
class Kept:
    """What was due in a span: by needed-by times, and by promises."""

    needed: Verdicts
    promised: Verdicts

    @classmethod
    def of(cls, facts: Facts, span: UsageSpan) -> Kept:
        return cls(needed=verdicts(facts.jobs, span, needed=True), promised=verdicts(facts.jobs, span, needed=False))

    @classmethod
    def together(cls, parts: Sequence[Kept]) -> Kept:
        return cls(
            needed=Verdicts([one for part in parts for one in part.needed.all]),
            promised=Verdicts([one for part in parts for one in part.promised.all]),
        )

    def figures(self) -> dict[str, int]:
        """The figures by their names in the summary and in the row of a day."""
        up_to_5, up_to_15, up_to_30, more = self.needed.late_by()
        return {
            "with_needed_by": self.needed.due,
            "on_time": self.needed.of("in time"),
            "tight": self.needed.of("tight"),
            "late_up_to_5": up_to_5,
            "late_up_to_15": up_to_15,
            "late_up_to_30": up_to_30,
            "late_more": more,
            "needed_not_strung": self.needed.of("not strung"),
            "late_match_begun": self.needed.begun,
            "promises_made": self.promised.due,
            "promises_kept": self.promised.of("in time"),
            "promised_not_strung": self.promised.of("not strung"),
        }


@dataclass(frozen=True, kw_only=True)
class Counted:
    """What a report counts of its span, read once: what its tables, and the second counts, are made of."""

    event: Event
    span: UsageSpan
    clock: EventClock
    facts: Facts
    done: Done
    kept: Kept
    states: Mapping[int, str]
    cancelled: set[int]
    accounts: Accounts
    reels: Sequence[ReelRow]
    hours: Sequence[HourRow]
    mishaps: Sequence[MishapRow]

    @property
    def waste_m(self) -> float:
        return round(sum(row.waste_m for row in self.reels), 2)

    @property
    def mishaps_noted(self) -> int:
        return sum(row.noted for row in self.mishaps if row.group == "kind")

    def listed(self) -> list[JobFact]:
        """The jobs that came, were finished or were cancelled within the span, or are open at its end."""
        return [job for job in self.facts.jobs if job.job_id in self.states and self._is_listed(job)]

    def _is_listed(self, job: JobFact) -> bool:
        moved = self.span.holds(job.dropped_at) or self.span.holds(job.finished_at) or job.job_id in self.cancelled
        return moved or self.states[job.job_id] in OPEN_STATES

    def local(self, at: datetime | None) -> datetime | None:
        """A moment on the event's wall clock, to the minute; None where it lies after the report."""
        return self.wall(at) if self.span.is_known(at) else None

    def wall(self, at: datetime | None) -> Any:
        """A moment on the event's wall clock, to the minute; None of None."""
        return None if at is None else self.clock.local(at).replace(tzinfo=None, second=0, microsecond=0)


def summary(counted: Counted) -> Summary:
    """The figures of the first page.

    Carried over is every job waiting, held or on a machine at the end, uncollected every one strung and
    not handed over. Money is counted by its moment: charges with their corrections, what was received,
    paid back and written off, and what was open before and after.
    """
    done, target_min, at_end = counted.done, counted.event.target_minutes, list(counted.states.values())
    return row_of(
        Summary,
        done,
        counted.accounts.whole,
        racquets_strung=done.racquets,
        players_served=done.players,
        **counted.kept.figures(),
        waste_m=counted.waste_m,
        carried_over=sum(state in OPEN_STATES for state in at_end),
        cancelled=len(counted.cancelled),
        uncollected=at_end.count("strung"),
        target_min=float(target_min),
        within_target=done.within(target_min),
        stringers=len({job.stringer_id for job in done.jobs if job.stringer_id is not None}),
        machines=len({job.machine_id for job in done.jobs if job.machine_id is not None}),
        mishaps=counted.mishaps_noted,
    )


def day_rows(facts: Facts, spans: Sequence[UsageSpan]) -> tuple[DayRow, ...]:
    """One row for each day, counted as the whole is; one more where something came after the last was closed."""
    rows = (_day_row(Done(jobs=facts.finished(span)), Kept.of(facts, span), span) for span in spans)
    return tuple(row for row in rows if row.day or row.racquets or row.with_needed_by or row.promises_made)


def _day_row(done: Done, kept: Kept, span: UsageSpan) -> DayRow:
    return row_of(DayRow, done, day=span.day, **kept.figures(), closed=any(day.closed_at for day in span.days))
