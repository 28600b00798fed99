"""One way in which the matches may go: lengths, walkovers, winners and rain drawn, starts reckoned one by one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np

from desk.trade.play.match_figures import match_format
from desk.trade.play.match_length import Z_5
from desk.trade.play.play import ENDED, NOT_PLAYED, PlayMatch, PlaySettings
from desk.trade.play.play_order import PlayOrder


@dataclass(frozen=True, kw_only=True)
class Rain:
    """Rain in minutes from the first midnight; nothing is played from `start` to `end`."""

    start: int
    end: int


@dataclass(frozen=True, kw_only=True)
class Played:
    """How one match went: who played, from when to when, `winner` the place in `players` of the side that won."""

    match: PlayMatch
    players: tuple[str, ...]
    start: int
    end: int
    walkover: bool = False


def draw_play(
    order: PlayOrder, settings: PlaySettings, rains: Sequence[Rain], dice: np.random.Generator
) -> list[Played]:
    """Draw every match in the order of play; what the records know to have happened stands."""
    found: dict[str, Played] = {}
    winners: dict[str, tuple[str, ...]] = {}
    free: dict[str, int] = {}
    for match in order.matches:
        length, walkover = drawn_length(match.format, settings.scale, dice)
        between, first_wins = drawn_changeover(settings, dice), dice.random() < 0.5
        players = _players(match, winners)
        before = order.before[match.key]
        ready = [match.start_at_min] if match.start_at_min is not None and match.start_kind != "followed_by" else []
        if before is not None:
            done = found[before]
            ready.append(done.start if done.walkover else done.end + between)
        ready += [free[player] + settings.rest_min for player in players if player in free]
        ready += [found[f].end + settings.rest_min for f in match.feeders if f in found and not found[f].walkover]
        start = dry(max(ready, default=order.opening.get(match.day, match.day * 1440)), rains)
        if match.begun and match.started_min is not None:
            start, walkover = match.started_min, False
        walkover = walkover or match.state in NOT_PLAYED
        end = start if walkover else played_until(start, length, rains)
        if match.state in ENDED and match.ended_min is not None:
            end = match.ended_min
        found[match.key] = Played(match=match, players=players, start=start, end=end, walkover=walkover)
        half = max(1, len(players) // 2)
        winners[match.key] = players[:half] if first_wins else players[half:]
        if not walkover:
            free |= dict.fromkeys(players, end)
    return list(found.values())


def drawn_length(name: str, scale: float, dice: np.random.Generator) -> tuple[int, bool]:
    """Minutes of a match and whether it is a walkover, by the published mixture (match_figures)."""
    figures = match_format(name)
    walkover, retired, part, normal = dice.random(), dice.random(), dice.random(), dice.standard_normal()
    if retired < figures.retired_once_begun:
        minutes = figures.retired_median_min * exp(figures.retired_sigma * normal)
    else:
        weights = np.cumsum([one.weight for one in figures.parts])
        one = figures.parts[min(int(np.searchsorted(weights, part)), len(figures.parts) - 1)]
        minutes = exp(one.mu + one.sigma * normal)
    return max(1, round(scale * minutes)), walkover < figures.walkover


def drawn_changeover(settings: PlaySettings, dice: np.random.Generator) -> int:
    """Minutes between two matches: lognormal with the settings' 5 % point and median, as `match_length` has it."""
    normal = dice.standard_normal()
    least, median = settings.between_least_min, settings.between_median_min
    return round(median * exp(log(median / max(1, least)) / Z_5 * normal))


def drawn_rain(
    days: Mapping[int, tuple[int, int]], chance: float, median_min: int, dice: np.random.Generator
) -> list[Rain]:
    """At most one rain a day between two minutes of it, with this chance; lengths lognormal, deviation 0.7 (CP)."""
    found = []
    for first, last in days.values():
        falls, at, normal = dice.random(), dice.random(), dice.standard_normal()
        start = int(first + at * max(1, last - first))
        if falls < chance:
            found.append(Rain(start=start, end=start + max(10, round(median_min * exp(0.7 * normal)))))
    return found


def dry(at: int, rains: Sequence[Rain]) -> int:
    """The first minute from `at` on without rain."""
    return max((rain.end for rain in rains if rain.start <= at < rain.end), default=at)


def played_until(start: int, length: int, rains: Sequence[Rain]) -> int:
    """When a match of so many minutes of play ends, rain left out."""
    end = start + length
    for rain in sorted(rains, key=lambda rain: rain.start):
        if start < rain.start < end:
            end += rain.end - rain.start
    return end


def _players(match: PlayMatch, winners: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    return match.players + tuple(p for feeder in match.feeders for p in winners.get(feeder, ()))
