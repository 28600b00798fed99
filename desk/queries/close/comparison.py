"""A report beside an earlier one: the same weekday of an earlier year, or the day before."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, EventDay
from desk.queries.close.facts import Facts, read_facts
from desk.queries.close.figures import Done
from desk.queries.close.span import UsageSpan, usage_spans
from exports import Comparison, ComparisonRow
from exports.rows import Better, Measure
from exports.summary import day_text


def compare(
    session: Session, event: Event, facts: Facts, spans: Sequence[UsageSpan], span: UsageSpan
) -> Comparison | None:
    """Return the figures of a span beside earlier ones; None where there is nothing earlier.

    A day is held against the same weekday of the last earlier event of this name or town that is in the
    records, else against the day before; the event so far against as many days of that earlier event.
    """
    earlier = _earlier_event(session, event, spans[0].dates[0])
    if earlier is not None:
        found = _of_earlier(session, earlier, span)
        if found is not None:
            return _comparison(Done(jobs=facts.finished(span)), *found)
    number = next((n for n, one in enumerate(spans) if one.dates == span.dates), 0)
    if len(span.dates) > 1 or number == 0:
        return None
    before = spans[number - 1]
    return _comparison(Done(jobs=facts.finished(span)), Done(jobs=facts.finished(before)), day_text(before.dates[0]))


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


def _of_earlier(session: Session, earlier: Event, span: UsageSpan) -> tuple[Done, str] | None:
    spans = usage_spans(session, earlier, span.end_at)
    if len(span.dates) > 1:
        chosen, title = spans[: len(span.dates)], f"{earlier.name}, its first {len(span.dates)} days"
    else:
        weekday = span.dates[0].weekday()
        chosen = [one for one in spans if one.dates[0].weekday() == weekday][:1]
        title = f"{day_text(chosen[0].dates[0])} of {earlier.name}" if chosen else ""
    facts = read_facts(session, earlier)
    jobs = [job for one in chosen for job in facts.finished(one)]
    return (Done(jobs=jobs), title) if jobs else None


def _comparison(now: Done, before: Done, title: str) -> Comparison:
    rows = [
        ComparisonRow(figure=figure, measure=measure, better=better, now=of(now), before=of(before))
        for figure, measure, better, of in COMPARED
    ]
    return Comparison(before_title=title, rows=tuple(rows))


def _pct(part: int, whole: int) -> float | None:
    return 100 * part / whole if whole else None


COMPARED: tuple[tuple[str, Measure, Better, Callable[[Done], float | None]], ...] = (
    ("Racquets strung", "count", "neither", lambda done: done.racquets),
    ("Players served", "count", "neither", lambda done: done.players),
    ("On time", "pct", "more", lambda done: _pct(done.on_time, done.with_needed_by)),
    ("Promises kept", "pct", "more", lambda done: _pct(done.promises_kept, done.promises_made)),
    ("From a match in play", "count", "neither", lambda done: done.on_court),
    ("Time from court to ready", "min", "fewer", lambda done: done.on_court_mean_min),
    ("Time on the bench", "min", "fewer", lambda done: done.bench_mean_min),
    ("String in racquets", "m", "neither", lambda done: done.string_m),
    ("Redo", "count", "fewer", lambda done: done.redo),
)
