"""The morning's question: what comes today, who is there, where it gets tight, and what would help."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Job
from desk.queries.event.event_days import day_at, day_spans
from desk.queries.play.play_records import clock_of
from desk.queries.rehearsal.event_picture import day_hours, picture_of
from desk.queries.rehearsal.teams import planned_team
from desk.trade.rehearsed.draw_sizes import DayHours
from desk.trade.rehearsed.drawn_racquets import draw_event
from desk.trade.rehearsed.picture import Picture
from desk.trade.rehearsed.tight_hours import STEP_MIN, Tight, caught_up, tightest
from solver.rehearsal import Team

DRAWN = 20
"""Days drawn for what is expected this morning."""
UNTIL_AFTER_OPENING = timedelta(minutes=15)
FEWEST_OVER = 2
"""Racquets more than hands from which it is said: one more is no trouble."""


@dataclass(frozen=True, kw_only=True)
class Morning:
    """Today before opening. `tight_from`, `tight_to` and `over` say where it gets tight; `over` 0: nowhere.

    `hands` are on shift when the desk opens, `later` says when others come. `caught_up` is when nothing waits that
    nobody has reached (None: not today); what ends in `with_one_more` is the same with one stringer more all day.
    """

    matches: int
    first_at: datetime | None
    waiting: int
    expected: int
    hands: int
    later: tuple[tuple[datetime, int], ...]
    tight_from: datetime | None
    tight_to: datetime | None
    over: int
    over_with_one_more: int
    caught_up: datetime | None
    caught_up_with_one_more: datetime | None


def morning(session: Session, event: Event, at: datetime) -> Morning | None:
    """Return the morning's question at AT; None outside the hours before opening."""
    spans, days = day_spans(session, event), day_hours(session, event)
    today = day_at(spans, at)
    number = None if today is None else next((i for i, one in enumerate(spans) if one.date == today.date), None)
    if number is None or number >= len(days):
        return None
    clock, day = clock_of(session, event), days[number]
    if at > clock.to_utc(day.opens) + UNTIL_AFTER_OPENING:
        return None
    picture, team = picture_of(session, event), planned_team(session, event)
    count, minutes = session.execute(
        select(func.count(Job.id), func.coalesce(func.sum(Job.house_minutes), 0)).where(
            Job.event_id == event.id, Job.state == "waiting"
        )
    ).one()
    expected, comes, usual = _expected(picture, day)
    hands = _hands(team, day, len(comes))
    more = [min(len(team.machines), one + 1) for one in hands]
    tight, with_more = (tightest(day.opens, float(minutes), comes, there) for there in (hands, more))
    over = _over(tight, usual)
    if over < FEWEST_OVER:
        tight, over = None, 0
    ends = [caught_up(day.opens, float(minutes), comes, there) for there in (hands, more)]
    begins = [
        min((a for a, b in one.windows if a < day.closes and b > day.opens), default=None) for one in team.stringers
    ]
    comers = Counter(begin for begin in begins if begin is not None and begin > day.opens)
    matches = [match for match in picture.matches if match.day == day.number]
    first = min((picture.expected[match.key] for match in matches), default=None)
    return Morning(
        matches=len(matches),
        first_at=None if first is None else clock.to_utc(first),
        waiting=count,
        expected=expected,
        hands=sum(begin is not None and begin <= day.opens for begin in begins),
        later=tuple((clock.to_utc(begin), count) for begin, count in sorted(comers.items())),
        tight_from=None if tight is None else clock.to_utc(tight.start),
        tight_to=None if tight is None else clock.to_utc(tight.end),
        over=over,
        over_with_one_more=_over(with_more, usual) if over else 0,
        caught_up=None if ends[0] is None else clock.to_utc(ends[0]),
        caught_up_with_one_more=None if ends[1] is None else clock.to_utc(ends[1]),
    )


def _expected(picture: Picture, day: DayHours) -> tuple[int, tuple[float, ...], float]:
    """Racquets, bench minutes by step, and minutes of one racquet, in the mean of some drawn days."""
    steps = max(1, ceil((day.closes - day.opens) / STEP_MIN))
    comes, racquets, minutes = [0.0] * steps, 0, 0
    for number in range(DRAWN):
        for one in draw_event(picture, number).racquets:
            if day.opens <= one.known < day.closes:
                took = one.card.on_court_minutes if one.on_court else one.card.minutes
                comes[min(steps - 1, (one.known - day.opens) // STEP_MIN)] += took / DRAWN
                racquets, minutes = racquets + 1, minutes + took
    return round(racquets / DRAWN), tuple(comes), minutes / racquets if racquets else 20.0


def _hands(team: Team, day: DayHours, steps: int) -> list[float]:
    starts = [day.opens + i * STEP_MIN for i in range(steps)]
    return [min(len(team.machines), team.hours(start, start + STEP_MIN) / STEP_MIN) for start in starts]


def _over(tight: Tight | None, minutes_each: float) -> int:
    return 0 if tight is None else round(tight.over_min / minutes_each)
