"""Matches that nobody has put into the order of play yet: how many a day, on which courts, from which hour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

from desk.trade.play.play import PlayMatch

MATCHES_A_DAY = {
    32: (5, 9, 6, 5, 4, 2, 1),
    56: (3, 11, 13, 12, 8, 4, 2, 1),
    96: (13, 16, 16, 17, 8, 8, 8, 3, 2, 2, 1, 1),
    128: (29, 29, 18, 18, 9, 8, 3, 5, 2, 3, 1, 2, 0, 1),
}
"""Matches a day by size of the draw: one tour, mean by day (Tennis Abstract, CC BY-NC-SA 4.0, match days from
public result files)."""

FEW_PLAYERS = 24

USUAL_FIRST = 11 * 60
"""When play begins where nothing says so, minutes from midnight (common practice)."""

MATCHES_A_COURT = 4
"""Matches that one court takes in a day (common practice)."""


@dataclass(frozen=True, kw_only=True)
class DayHours:
    """One day of the event in minutes from the first midnight: its number, when it begins, when the desk is open."""

    number: int
    midnight: int
    opens: int
    closes: int


def usual_matches(players: int, days: int) -> tuple[int, ...]:
    """Matches a day for so many players: of the nearest draw, over the days there are, the last days kept.

    Fewer than `FEW_PLAYERS` play one round a day.
    """
    size = min(MATCHES_A_DAY, key=lambda draw: (abs(draw - players), draw))
    table = list(MATCHES_A_DAY[size]) if players >= FEW_PLAYERS else _rounds(players)
    while len(table) > days:
        first, second, *rest = table
        table = [first + second, *rest]
    return (0,) * (days - len(table)) + tuple(table)


def _rounds(players: int) -> list[int]:
    """The matches of each round of a knock-out."""
    table = []
    while players > 1:
        table.append(players // 2)
        players -= players // 2
    return table or [0]


def filled_in(
    matches: Sequence[PlayMatch],
    days: Sequence[DayHours],
    players: Sequence[str],
    a_day: Sequence[int],
    courts: Sequence[str],
    first_min: int,
) -> tuple[PlayMatch, ...]:
    """Add matches to the days that have none, so many as `a_day` says, the first on each court at `first_min`.

    Who plays is a knock-out of all players in their order, winners going on; where the known matches and the
    knock-out do not meet, players start anew.
    """
    known = {match.day for match in matches}
    found, left = list(matches), list(players)
    formats = [match.format for match in matches] or ["men_3"]
    alive: list[str | PlayMatch] = [*left]
    for day, count in zip(days, a_day, strict=True):
        if day.number in known or not count:
            continue
        on = courts or [f"Court {n + 1}" for n in range(max(1, ceil(count / MATCHES_A_COURT)))]
        start = day.midnight + first_min
        for n in range(count):
            while len(alive) < 2:
                alive += left
            one, other = alive.pop(0), alive.pop(0)
            match = PlayMatch(
                key=f"D{day.number + 1}-{n + 1}",
                court=on[n % len(on)],
                position=n // len(on) + 1,
                format=formats[n % len(formats)],
                day=day.number,
                start_kind="at" if n < len(on) else "followed_by",
                start_at_min=start if n < len(on) else None,
                players=tuple(side for side in (one, other) if isinstance(side, str)),
                feeders=tuple(side.key for side in (one, other) if not isinstance(side, str)),
            )
            found.append(match)
            alive.append(match)
    return tuple(_with_a_time(found))


def _with_a_time(matches: Sequence[PlayMatch]) -> list[PlayMatch]:
    """Give the first match of a court and day a time where it has none: *followed by* needs something before it."""
    first: dict[tuple[int, str], PlayMatch] = {}
    for match in sorted(matches, key=lambda match: match.position):
        first.setdefault((match.day, match.court), match)
    heads = {match.key for match in first.values() if match.start_at_min is None}
    opening = {m.day: m.start_at_min for m in matches if m.start_at_min is not None}
    return [
        replace(m, start_kind="not_before", start_at_min=opening.get(m.day, m.day * 1440 + 11 * 60))
        if m.key in heads
        else m
        for m in matches
    ]
