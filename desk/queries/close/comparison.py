"""A report beside an earlier one: the day before up to the same hour, or the same weekday of an earlier year."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, EventDay
from desk.queries.close.facts import Facts, read_facts
from desk.queries.close.figures import Done, Kept
from desk.queries.close.span import UsageSpan, usage_spans
from desk.queries.play.play_records import clock_of
from desk.trade.event.event_time import EventClock
from exports.rows.checks import Better, Comparison, ComparisonRow, Measure
from exports.summary import day_text

LAST_HOUR = 30
"""Hours of a day's clock: a desk that closes after midnight still counts for the day before."""


@dataclass(frozen=True, kw_only=True)
class _Counted:
    """What one side of the comparison counted."""

    done: Done
    kept: Kept

    @classmethod
    def of(cls, facts: Facts, spans: Sequence[UsageSpan]) -> _Counted:
        jobs = [job for span in spans for job in facts.finished(span)]
        kept = [Kept.of(facts, span) for span in spans]
        return cls(done=Done(jobs=jobs), kept=Kept.together(kept))


def compare(
    session: Session, event: Event, facts: Facts, spans: Sequence[UsageSpan], span: UsageSpan
) -> Comparison | None:
    """Return the figures of a span beside earlier ones; None where there is nothing earlier.

    A day is held against the day before, up to the same hour of the wall clock while it is not over; the first day
    against the same weekday of the last earlier event of this name or town that is in the records, and the event so
    far against as many days of that earlier event.
    """
    now = _Counted.of(facts, [span])
    number = next((n for n, one in enumerate(spans) if one.dates == span.dates), 0)
    if len(span.dates) == 1 and number:
        before, title = _cut(session, event, spans[number - 1], span, day_text(spans[number - 1].dates[0]))
        return _comparison(now, _Counted.of(facts, [before]), title)
    earlier = _earlier_event(session, event, spans[0].dates[0])
    found = None if earlier is None else _of_earlier(session, earlier, span)
    return None if found is None else _comparison(now, *found)


def _to_same_hour(clock: EventClock, before: UsageSpan, span: UsageSpan) -> UsageSpan:
    """The day before, cut at the hour that a day under way has reached; whole where that one is over."""
    if span.to_at is not None and span.end_at >= span.to_at:
        return before
    local = clock.local(span.end_at)
    hours = 24 * (local.date() - span.dates[0]).days + local.hour
    if not 0 <= hours < LAST_HOUR:
        return before
    cut_at = clock.parse(f"{hours:02}:{local.minute:02}", before.dates[0])
    if before.to_at is not None and before.to_at <= cut_at:
        return before
    return replace(before, to_at=cut_at, end_at=cut_at)


def _cut(session: Session, event: Event, before: UsageSpan, span: UsageSpan, title: str) -> tuple[UsageSpan, str]:
    """An earlier day up to the same hour, with its title."""
    clock = clock_of(session, event)
    cut = _to_same_hour(clock, before, span)
    return cut, title if cut.to_at == before.to_at else f"{title} up to {clock.local(cut.end_at):%H:%M}"


def _earlier_event(session: Session, event: Event, first_day: date) -> Event | None:
    last_day = func.max(EventDay.date)
    found = (
        select(Event)
        .join(EventDay, EventDay.event_id == Event.id)
        .where(Event.id != event.id)
        .group_by(Event.id)
        .having(last_day < first_day)
        .order_by(last_day.desc())
    )
    return next((one for one in session.scalars(found) if _is_akin(one, event)), None)


def _is_akin(one: Event, other: Event) -> bool:
    """Whether two events are one tournament in two years: the same name except for numbers, or the same town."""
    return _bare(one.name) == _bare(other.name) or (bool(one.town) and one.town == other.town)


def _bare(name: str) -> str:
    return re.sub(r"[\d\s]+", " ", name).strip().casefold()


def _of_earlier(session: Session, earlier: Event, span: UsageSpan) -> tuple[_Counted, str] | None:
    spans = usage_spans(session, earlier, span.end_at)
    if len(span.dates) > 1:
        chosen, title = spans[: len(span.dates)], f"{earlier.name}, its first {len(span.dates)} days"
    else:
        weekday = span.dates[0].weekday()
        chosen = [one for one in spans if one.dates[0].weekday() == weekday][:1]
        title = f"{day_text(chosen[0].dates[0])} of {earlier.name}" if chosen else ""
    if len(chosen) == 1:
        chosen[0], title = _cut(session, earlier, chosen[0], span, title)
    counted = _Counted.of(read_facts(session, earlier), chosen)
    return (counted, title) if counted.done.jobs else None


def _comparison(now: _Counted, before: _Counted, title: str) -> Comparison:
    rows = [
        ComparisonRow(figure=figure, measure=measure, better=better, now=of(now), before=of(before))
        for figure, measure, better, of in COMPARED
    ]
    return Comparison(before_title=title, rows=tuple(rows))


def _pct(part: int, whole: int) -> float | None:
    return 100 * part / whole if whole else None


COMPARED: tuple[tuple[str, Measure, Better, Callable[[_Counted], float | None]], ...] = (
    ("Racquets strung", "count", "neither", lambda one: one.done.racquets),
    ("Players served", "count", "neither", lambda one: one.done.players),
    ("On time", "pct", "more", lambda one: _pct(one.kept.needed.of("in time"), one.kept.needed.due)),
    ("Promises kept", "pct", "more", lambda one: _pct(one.kept.promised.of("in time"), one.kept.promised.due)),
    ("From a match in play", "count", "neither", lambda one: one.done.on_court),
    ("Time from court to ready", "min", "fewer", lambda one: one.done.on_court_mean_min),
    ("Time on the bench", "min", "fewer", lambda one: one.done.bench_mean_min),
    ("String in racquets", "m", "neither", lambda one: one.done.string_m),
    ("Redo", "count", "fewer", lambda one: one.done.redo),
)
