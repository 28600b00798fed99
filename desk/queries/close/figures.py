"""The figures that are asked first, each by the definition in its function's docstring."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

from desk.models import Event
from desk.queries.close.due.verdicts import Verdicts, needed_verdicts, promise_verdicts
from desk.queries.close.facts import Facts, JobFact, minutes_between
from desk.queries.close.money_of_span import Accounts
from desk.queries.close.span import UsageSpan
from exports.report import Summary
from exports.rows import DayRow


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
        return sum(is_on_time(job) for job in self.jobs)

    @property
    def promises_changed(self) -> int:
        return sum(job.is_promise_changed for job in self.jobs)

    @property
    def on_court(self) -> int:
        return sum(job.on_court for job in self.jobs)

    @property
    def on_court_mean_min(self) -> float | None:
        """Mean minutes from drop-off to finished of the racquets from a match in play."""
        return mean([minutes_between(job.dropped_at, job.finished_at) for job in self.jobs if job.on_court])

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


def is_on_time(job: JobFact) -> bool:
    return job.finished_at is not None and job.needed_by_at is not None and job.finished_at <= job.needed_by_at


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
        return cls(needed=needed_verdicts(facts.jobs, span), promised=promise_verdicts(facts.jobs, span))

    @classmethod
    def together(cls, parts: Sequence[Kept]) -> Kept:
        return cls(
            needed=Verdicts([one for part in parts for one in part.needed.all]),
            promised=Verdicts([one for part in parts for one in part.promised.all]),
        )

    def needed_figures(self) -> dict[str, int]:
        up_to_5, up_to_15, up_to_30, more = self.needed.late_by()
        return {
            "with_needed_by": self.needed.due,
            "on_time": self.needed.in_time,
            "tight": self.needed.tight,
            "late_up_to_5": up_to_5,
            "late_up_to_15": up_to_15,
            "late_up_to_30": up_to_30,
            "late_more": more,
            "needed_not_strung": self.needed.not_strung,
            "late_match_begun": self.needed.begun,
        }

    def promised_figures(self) -> dict[str, int]:
        return {
            "promises_made": self.promised.due,
            "promises_kept": self.promised.in_time,
            "promised_not_strung": self.promised.not_strung,
        }


def summary(
    event: Event,
    done: Done,
    kept: Kept,
    states: dict[int, str],
    cancelled: set[int],
    waste_m: float,
    accounts: Accounts,
) -> Summary:
    """The figures of the first page.

    Carried over is every job waiting, held or on a machine at the end, uncollected every one strung and
    not handed over. Money is counted by its moment: charges with their corrections, what was received,
    paid back and written off, and what was open before and after.
    """
    at_end = list(states.values())
    return Summary(
        racquets_strung=done.racquets,
        players_served=done.players,
        **kept.needed_figures(),
        **kept.promised_figures(),
        promises_changed=done.promises_changed,
        on_court=done.on_court,
        on_court_mean_min=done.on_court_mean_min,
        string_m=done.string_m,
        waste_m=waste_m,
        redo=done.redo,
        carried_over=sum(state in ("waiting", "on_machine", "held") for state in at_end),
        cancelled=len(cancelled),
        uncollected=at_end.count("strung"),
        bench_mean_min=done.bench_mean_min,
        ready_mean_min=done.ready_mean_min,
        target_min=float(event.target_minutes),
        within_target=done.within(event.target_minutes),
        stringers=len({job.stringer_id for job in done.jobs if job.stringer_id is not None}),
        machines=len({job.machine_id for job in done.jobs if job.machine_id is not None}),
        brought_forward_minor=accounts.whole.brought_minor,
        charged_minor=accounts.whole.charged_minor,
        tax_minor=accounts.whole.tax_minor,
        received_minor=accounts.whole.received_minor,
        refunded_minor=accounts.whole.refunded_minor,
        written_off_minor=accounts.whole.written_off_minor,
        carried_forward_minor=accounts.whole.carried_minor,
    )


def day_rows(facts: Facts, spans: Sequence[UsageSpan]) -> tuple[DayRow, ...]:
    """One row for each day, counted as the whole is; one more where something came after the last was closed."""
    rows = (_day_row(Done(jobs=facts.finished(span)), Kept.of(facts, span), span) for span in spans)
    return tuple(row for row in rows if row.day or row.racquets or row.with_needed_by or row.promises_made)


def _day_row(done: Done, kept: Kept, span: UsageSpan) -> DayRow:
    return DayRow(
        day=span.day,
        racquets=done.racquets,
        players=done.players,
        **kept.needed_figures(),
        **kept.promised_figures(),
        on_court=done.on_court,
        on_court_mean_min=done.on_court_mean_min,
        string_m=done.string_m,
        redo=done.redo,
        closed=any(day.closed_at for day in span.days),
    )
