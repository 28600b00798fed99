"""What went through the desk by the hour, by stringer and by machine."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from itertools import pairwise

from desk.models import Machine, Stringer
from desk.queries.close.facts import Facts, JobFact
from desk.queries.close.figures import Done
from desk.queries.close.span import UsageSpan
from desk.queries.row_making import grouped, row_of
from desk.queries.spans import Span, joined, said
from desk.queries.team.team import windows_of
from desk.trade.event.event_time import EventClock
from desk.trade.event.money import Money
from exports.rows.work import HourRow, MachineRow, StringerRow, TeamRow

HOUR = timedelta(hours=1)
NIGHT = timedelta(hours=6)
"""So long a gap without any work is a night and no part of the day (common practice)."""


def hour_rows(facts: Facts, spans: Sequence[UsageSpan], clock: EventClock) -> tuple[HourRow, ...]:
    """A row for each hour of each day, from the first hour in which something happened to the last.

    Dropped off counts racquets that came over the counter, so no redo; handed over what was not taken back.
    """
    return tuple(row for span in spans for row in _hours_of(facts, span, clock))


def _hours_of(facts: Facts, span: UsageSpan, clock: EventClock) -> list[HourRow]:
    def by_hour(times: Iterable[datetime | None]) -> Counter[datetime]:
        return Counter(_hour(clock, at) for at in times if at is not None and span.holds(at))

    dropped = by_hour(job.dropped_at for job in facts.jobs if job.redo_of is None)
    handed = by_hour(job.handed_over_at for job in facts.jobs)
    strung = by_hour(job.finished_at for job in facts.jobs)
    court = by_hour(job.finished_at for job in facts.jobs if job.on_court)
    return [
        HourRow(
            from_at=clock.local(hour).replace(tzinfo=None),
            utc_offset_min=_offset_min(clock, hour),
            dropped_off=dropped[hour],
            strung=strung[hour],
            handed_over=handed[hour],
            on_court=court[hour],
        )
        for hour in _all_hours({*dropped, *handed, *strung}, clock)
    ]


def _hour(clock: EventClock, at: datetime) -> datetime:
    """The moment at which the hour of the wall clock began that holds AT."""
    local = clock.local(at)
    return at - timedelta(minutes=local.minute, seconds=local.second, microseconds=local.microsecond)


def _offset_min(clock: EventClock, at: datetime) -> int:
    offset = clock.local(at).utcoffset()
    return 0 if offset is None else int(offset.total_seconds() // 60)


def _all_hours(worked: set[datetime], clock: EventClock) -> list[datetime]:
    """Every hour from the first with work to the last, with the empty ones of a day and without those of a night."""
    every = sorted(worked)
    for before, after in pairwise(sorted(worked)):
        if after - before < NIGHT:
            every += _hours_between(before, after, clock)
    return sorted(every)


def _hours_between(before: datetime, after: datetime, clock: EventClock) -> Iterator[datetime]:
    hour = before
    while (hour := max(_hour(clock, hour + HOUR), hour + HOUR / 2)) < after:
        yield hour


def _worked(
    jobs: Iterable[JobFact], people: Sequence[Stringer], span: UsageSpan
) -> Iterator[tuple[Stringer, Done, float]]:
    """Yield whoever strung or was at work, in the desk's order: what they finished, and their minutes at work.

    At work is the shifts less absences up to the end of the report.
    """
    by_stringer = grouped((job.stringer_id, job) for job in jobs)
    for person in people:
        own, at_work_min = Done(jobs=by_stringer[person.id]), clipped_min(windows_of(person, span.end_at), span)
        if own.jobs or at_work_min:
            yield person, own, at_work_min


def stringer_rows(
    done: Done, people: Sequence[Stringer], span: UsageSpan, target_min: float
) -> tuple[StringerRow, ...]:
    """One row for whoever strung or was at work, in the desk's order.

    Busy is the bench time of the racquets finished; redo counts with whoever strung the racquet again.
    """
    return tuple(
        row_of(StringerRow, own, stringer=one.name, at_work_min=at_work_min, within_target=own.within(target_min))
        for one, own, at_work_min in _worked(done.jobs, people, span)
    )


def team_rows(
    facts: Facts, people: Sequence[Stringer], spans: Sequence[UsageSpan], currency: str
) -> tuple[TeamRow, ...]:
    """One row for each day on which a stringer strung or was at work."""
    return tuple(
        _team_row(*worked, span, currency) for span in spans for worked in _worked(facts.finished(span), people, span)
    )


def _team_row(person: Stringer, own: Done, at_work_min: float, span: UsageSpan, currency: str) -> TeamRow:
    times = Decimal(own.racquets) if person.rate_per == "racquet" else Decimal(str(round(at_work_min, 2))) / 60
    pay_minor = None if person.rate_minor is None else Money(person.rate_minor, currency).times(times).minor
    about = {"day": span.day, "stringer": person.name, "at_work_min": at_work_min, "currency": currency}
    return row_of(TeamRow, own, person, **about, pay_minor=pay_minor)


def machine_rows(done: Done, machines: Sequence[Machine], span: UsageSpan) -> tuple[MachineRow, ...]:
    """One row a machine that was used or out of service while the desk was open."""
    jobs = grouped((job.machine_id, job) for job in done.jobs)
    rows = []
    for machine in machines:
        own, out_min = Done(jobs=jobs[machine.id]), _out_of_service_min(machine, span)
        if own.jobs or out_min:
            stringers = len({job.stringer_id for job in own.jobs})
            about = {"machine": machine.name, "out_of_service_min": out_min, "stringers": stringers}
            rows.append(row_of(MachineRow, own, **about))
    return tuple(rows)


def _out_of_service_min(machine: Machine, span: UsageSpan) -> float:
    hours = [(day.opens_at, day.closes_at) for day in span.days]
    outages = joined(said(one) for one in machine.outages)
    open_and_out = [(max(opens, out), min(closes, back)) for opens, closes in hours for out, back in outages]
    return clipped_min(open_and_out, span)


def clipped_min(windows: Iterable[Span], span: UsageSpan) -> float:
    """Minutes of the windows that lie in a span and before its end."""
    total = 0.0
    for start, end in windows:
        first = start if span.from_at is None else max(start, span.from_at)
        total += max(0.0, (min(end, span.end_at) - first).total_seconds() / 60)
    return total
