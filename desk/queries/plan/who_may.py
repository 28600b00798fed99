"""Who may string what: natural gut, racquets from the court, and how many a day."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Stringer
from desk.queries.event.event_days import day_at, day_spans
from desk.queries.spans import Span

GUT = "natural_gut"
MOST_SAID = 6


def why_not(stringer: Stringer, *, gut: bool, on_court: bool) -> str:
    """Return why a stringer may not take such a racquet; nothing where they may."""
    words = what_forbids(stringer, gut=gut, on_court=on_court)
    return words and f"{stringer.name} {words}."


def what_forbids(stringer: Stringer, *, gut: bool, on_court: bool) -> str:
    """Return in words what of a stringer forbids such a racquet: "does not string natural gut", or nothing.

    A trainee strings no natural gut and nothing from the court: both forgive no second try (common practice).
    """
    if gut and (stringer.is_trainee or not stringer.strings_gut):
        return f"does not string natural gut{_as_trainee(stringer)}"
    if on_court and (stringer.is_trainee or not stringer.strings_on_court):
        return f"takes nothing from the court{_as_trainee(stringer)}"
    return ""


def _as_trainee(stringer: Stringer) -> str:
    return ", as a trainee" if stringer.is_trainee else ""


def is_gut(job: Job) -> bool:
    """Tell whether any half of the job's bed is natural gut."""
    return GUT in (job.card.mains_string.material, job.card.crosses_string.material)


def who_may(team: Iterable[Stringer], *, gut: bool, on_court: bool) -> tuple[str, ...] | None:
    """Return the codes of those who may take such a racquet; None where everybody may."""
    people = list(team)
    allowed = tuple(one.code for one in people if not why_not(one, gut=gut, on_court=on_court))
    return None if len(allowed) == len(people) else allowed


def why_nobody(team: Iterable[Stringer], *, gut: bool, on_court: bool) -> str:
    """Return why nobody of the team may take such a racquet, each with their own reason, who lacks least first."""
    people = sorted(team, key=lambda one: _lacks(one, gut=gut, on_court=on_court))
    said = [why_not(one, gut=gut, on_court=on_court) for one in people]
    if not said:
        return "No stringer is on the team."
    more = f" And {len(said) - MOST_SAID} more." if len(said) > MOST_SAID else ""
    return f"Nobody on the team may take it. {' '.join(said[:MOST_SAID])}{more} Change it under Team."


def _lacks(stringer: Stringer, *, gut: bool, on_court: bool) -> tuple[bool, int]:
    marks = [stringer.strings_gut] * gut + [stringer.strings_on_court] * on_court
    return stringer.is_trainee, marks.count(False)


def begun_today(session: Session, event: Event, at: datetime) -> dict[int, int]:
    """Return how many racquets each stringer has begun today."""
    today = day_at(day_spans(session, event), at)
    if today is None:
        return {}
    found = (
        select(Job.stringer_id, func.count())
        .where(Job.event_id == event.id, Job.started_at >= today.from_at, Job.started_at < today.to_at)
        .where(Job.stringer_id.is_not(None))
        .group_by(Job.stringer_id)
    )
    return dict(session.execute(found).all())


def within_most(windows: Iterable[Span], most: int | None, begun: int, minutes: float, days: list[Span]) -> list[Span]:
    """Return the hours that hold no more racquets a day than MOST, at so many MINUTES each; BEGUN of the first day.

    The first of DAYS is today. Where nobody set a most all hours stay.
    """
    spans = list(windows)
    if most is None:
        return spans
    kept: list[Span] = []
    for number, (day_from, day_to) in enumerate(days):
        left = max(0, most - (begun if number == 0 else 0)) * minutes * 60
        for start, end in spans:
            first, last = max(start, day_from), min(end, day_to)
            if first < last and left > 0:
                took = min(left, (last - first).total_seconds())
                kept.append((first, first + (last - first) * (took / (last - first).total_seconds())))
                left -= took
    return kept
