"""What a rehearsal says: the figures of each team with the band in which nine events of ten lie."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from desk.queries.rehearsal.day_figures import HOURS, PADS, DayFigures
from desk.trade.rehearsed.draw_sizes import DayHours
from desk.trade.rehearsed.picture import Picture
from solver.rehearsal import Band, Team, band_of

WEEKDAY_NEEDS = 1
"""A day counts for the goal from so many racquets on."""


@dataclass(frozen=True, kw_only=True)
class Goal:
    """So many racquets of a hundred on time on so many days of ten."""

    on_time: float = 0.98
    days: float = 0.9

    def __str__(self) -> str:
        return f"{100 * self.on_time:g} in 100 on time on {10 * self.days:g} days of 10"


@dataclass(frozen=True, kw_only=True)
class HourLine:
    """One hour of one day: hands on shift, and bands of bench hours that come, racquets that wait, longest wait."""

    day: int
    hour: int
    hands: float
    came: Band
    work: Band
    waiting: Band
    wait: Band


@dataclass(frozen=True, kw_only=True)
class StringerLine:
    """Hours strung by one stringer on a day at work, and hours on shift."""

    stringer: str
    hours: Band
    on_shift: float


@dataclass(frozen=True, kw_only=True)
class TeamAnswer:
    """One team: shares are of racquets, matches, promises; racquets from a match in play are counted apart.

    `on_time_days` is the share of days that keep the goal; `pad` is the least of `PADS` with which the share of
    promises that the event wants is kept, None where none is enough.
    """

    team: Team
    racquets: Band
    late: Band
    on_court_late: Band
    hit: Band
    late_by_day: tuple[Band, ...]
    kept: tuple[Band, ...]
    pad: int | None
    hours: tuple[HourLine, ...]
    stringers: tuple[StringerLine, ...]
    on_time_days: float
    keeps_goal: bool

    @property
    def longest_wait(self) -> Band:
        """The longest wait of any hour, by the end of its band."""
        return max((line.wait for line in self.hours), key=lambda band: band.high)

    @property
    def people(self) -> int:
        """Stringers in the team."""
        return len(self.team.stringers)

    @property
    def shift_hours(self) -> float:
        """Hours on shift of the whole team over the event."""
        return sum(b - a for s in self.team.stringers for a, b in s.windows) / 60


@dataclass(frozen=True, kw_only=True)
class StringUse:
    """Metres of one string over the event; `own` is brought by players, `half_m` is the mean of a half of a bed."""

    code: str
    own: bool
    metres: Band
    half_m: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Answer:
    """A rehearsal: each team's answer in the order asked for, string, and the least team that keeps the goal."""

    goal: Goal
    replications: int
    teams: tuple[TeamAnswer, ...]
    strings: tuple[StringUse, ...]
    least: TeamAnswer | None


def answer(
    picture: Picture,
    teams: Sequence[Team],
    found: Sequence[Sequence[DayFigures]],
    goal: Goal,
    promise_share: float = 0.9,
) -> Answer:
    """Sum up what was counted, by replication and then by team."""
    rows = tuple(
        _team(picture, team, [figures[i] for figures in found], goal, promise_share) for i, team in enumerate(teams)
    )
    keeping = [row for row in rows if row.keeps_goal]
    least = min(keeping, key=lambda row: (row.people, row.shift_hours, len(row.team.machines)), default=None)
    metres = np.array([figures[0].metres for figures in found]).reshape(len(found), len(picture.strings))
    of_half = _half_metres(picture)
    strings = tuple(
        StringUse(code=code, own=own, metres=band_of(metres[:, i]), half_m=of_half.get(i, 0.0))
        for i, (code, own) in enumerate(picture.strings)
    )
    return Answer(goal=goal, replications=len(found), teams=rows, strings=strings, least=least)


def _half_metres(picture: Picture) -> dict[int, float]:
    """The mean metres of a half of a bed by the place of its string."""
    metres: dict[int, list[float]] = defaultdict(list)
    for cards in picture.cards.values():
        for place, length in (use for card in cards for use in card.uses):
            metres[place].append(length)
    return {place: sum(some) / len(some) for place, some in metres.items()}


def _team(picture: Picture, team: Team, found: Sequence[DayFigures], goal: Goal, promise_share: float) -> TeamAnswer:
    racquets = np.array([one.racquets for one in found])
    late, hit = np.array([one.late for one in found]), np.array([one.hit for one in found])
    matches = np.array([one.matches for one in found])
    counted = racquets >= WEEKDAY_NEEDS
    on_time = ((racquets - late) / np.maximum(1, racquets) >= goal.on_time)[counted]
    days = float(on_time.mean()) if len(on_time) else 1.0
    kept = tuple(band_of([one.kept[i] / max(1, one.told) for one in found]) for i in range(len(PADS)))
    enough = [pad for pad, band in zip(PADS, kept, strict=True) if band.middle >= promise_share]
    return TeamAnswer(
        team=team,
        racquets=band_of(racquets.sum(axis=1)),
        late=band_of(late.sum(axis=1) / np.maximum(1, racquets.sum(axis=1))),
        on_court_late=band_of([one.on_court_late / max(1, one.on_court) for one in found]),
        hit=band_of(hit.sum(axis=1) / np.maximum(1, matches.sum(axis=1))),
        late_by_day=tuple(band_of(late[:, d] / np.maximum(1, racquets[:, d])) for d in range(racquets.shape[1])),
        kept=kept,
        pad=enough[0] if enough else None,
        hours=tuple(_hours(picture, team, found)),
        stringers=tuple(_stringers(picture, team, found)),
        on_time_days=days,
        keeps_goal=days >= goal.days,
    )


def _hours(picture: Picture, team: Team, found: Sequence[DayFigures]) -> list[HourLine]:
    names = ("came", "work", "waiting", "wait")
    stacked = {name: np.array([getattr(one, name) for one in found]) for name in names}
    lines = []
    for d, day in enumerate(picture.days):
        for hour in range(HOURS):
            start = day.midnight + 60 * hour
            if start + 60 <= day.opens or start >= day.closes:
                continue
            bands = {name: band_of(stacked[name][:, d, hour]) for name in names}
            lines.append(HourLine(day=d, hour=hour, hands=team.hours(start, start + 60) / 60, **bands))
    return lines


def _stringers(picture: Picture, team: Team, found: Sequence[DayFigures]) -> list[StringerLine]:
    worked = np.array([one.worked for one in found]) / 60
    lines = []
    for i, one in enumerate(team.stringers):
        shift = [_within(one.windows, day) for day in picture.days]
        there = [d for d, hours in enumerate(shift) if hours > 0]
        hours = band_of(worked[:, i, there].ravel()) if there else Band(0, 0, 0)
        lines.append(StringerLine(stringer=one.id, hours=hours, on_shift=sum(shift) / max(1, len(there))))
    return lines


def _within(windows: Sequence[tuple[int, int]], day: DayHours) -> float:
    """Hours of the windows that belong to a day of play."""
    return sum(max(0, min(b, day.midnight + 60 * HOURS) - max(a, day.midnight)) for a, b in windows) / 60
