"""One way in which the racquets may come: who drops what when, by when it is wanted, and what it takes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp
from typing import Any

import numpy as np

from desk.trade.play.needed_by import WEIGHT_IN_PLAY, WEIGHT_PRACTICE, bag_weight
from desk.trade.rehearsed.drawn_play import Played, Rain, draw_play, drawn_rain
from desk.trade.rehearsed.needed_by_moves import Move
from desk.trade.rehearsed.picture import Card, Picture

NO_TIME = 10**12
PRACTICE_WITHIN = 240
"""Minutes within which a racquet for practice is wanted (common practice)."""
AFTER_A_MATCH = 20
"""Minutes after a match at the soonest that its players drop racquets for the next (common practice)."""


@dataclass(frozen=True, kw_only=True)
class Dropped:
    """One racquet: `called` is when play of its match really starts (`NO_TIME`: no match), `card` its card."""

    known: int
    due: int
    latest: int
    weight: int
    player: str
    match: str
    called: int
    on_court: bool
    card: Card
    factor: float


@dataclass(frozen=True, kw_only=True)
class Failure:
    """A machine or a stringer out of work between two minutes."""

    machine: str | None = None
    stringer: str | None = None
    start: int
    end: int


@dataclass(frozen=True, kw_only=True)
class DrawnEvent:
    """One way in which the event may go."""

    racquets: list[Dropped]
    moves: list[Move]
    failures: list[Failure]
    played: list[Played]


def draw_event(picture: Picture, number: int) -> DrawnEvent:
    """Draw the event by a number; the same number gives the same event again."""
    of_play, of_racquets, of_failures = (np.random.default_rng((number, part)) for part in (1, 2, 3))
    risks = picture.risks
    hours = {day.number: (day.opens + 180, day.closes - 120) for day in picture.days}
    rains = drawn_rain(hours, risks.rain, risks.rain_min, of_play)
    played = draw_play(picture.order, picture.settings, rains, of_play) if picture.matches else []
    racquets = [*_for_matches(picture, played, of_racquets), *_for_practice(picture, of_racquets)]
    moves = [move for one in played for move in picture.court_points.moves(one)]
    return DrawnEvent(
        racquets=sorted(racquets, key=lambda racquet: racquet.known),
        moves=sorted((*moves, *_after_rain(picture, played, rains)), key=lambda move: move.at),
        failures=_failures(picture, of_failures),
        played=played,
    )


def _for_matches(picture: Picture, played: list[Played], dice: np.random.Generator) -> Iterable[Dropped]:
    habits = picture.habits
    ends: dict[str, int] = {}
    first: set[str] = set()
    for one in sorted(played, key=lambda one: one.start):
        for player in one.players:
            count, ahead = int(dice.choice(habits.racquets)), int(dice.choice(habits.ahead_min))
            count += 0 if player in first else habits.testers
            first.add(player)
            wanted = picture.expected[one.match.key] - ahead
            at = _at_the_desk(picture, max(wanted, ends.get(player, wanted) + AFTER_A_MATCH), dice)
            due = picture.points[one.match.key] - picture.lead_min
            of_match = {"player": player, "match": one.match.key}
            for n in range(count if at is not None else 0):
                more = {"known": at, "due": due, "latest": due + picture.soft_min, "called": one.start}
                yield _dropped(picture, dice, **of_match, **more, weight=bag_weight(n))
            for _ in range(int(dice.poisson(habits.on_court))):
                during = one.start + round((0.15 + 0.7 * dice.random()) * (one.end - one.start))
                if not one.walkover:
                    more = {"known": during, "due": during + picture.on_court_min, "weight": WEIGHT_IN_PLAY}
                    yield _dropped(picture, dice, **of_match, **more, on_court=True)
        ends |= dict.fromkeys(one.players, one.end)


def _for_practice(picture: Picture, dice: np.random.Generator) -> Iterable[Dropped]:
    mean = picture.habits.practice * len(picture.players)
    for day in picture.days:
        for _ in range(int(dice.poisson(mean))):
            player = picture.players[int(dice.integers(len(picture.players)))]
            at = int(dice.integers(day.opens, max(day.opens + 1, day.closes - PRACTICE_WITHIN)))
            yield _dropped(picture, dice, player=player, known=at, due=at + PRACTICE_WITHIN, weight=WEIGHT_PRACTICE)


def _dropped(picture: Picture, dice: np.random.Generator, **over: Any) -> Dropped:
    """One racquet with a card of its player and its true minutes drawn."""
    cards = picture.cards.get(over["player"]) or picture.all_cards
    spread = picture.risks.spread / 100
    usual = {"match": "", "called": NO_TIME, "on_court": False, "latest": over["due"]}
    factor = exp(spread * dice.standard_normal() - spread**2 / 2)
    return Dropped(**usual | over, card=cards[int(dice.integers(len(cards)))], factor=factor)


def _at_the_desk(picture: Picture, wanted: int, dice: np.random.Generator) -> int | None:
    """When somebody who wants to come at a minute comes: while it is closed, soon after the next opening."""
    late = int(dice.exponential(20))
    at = picture.open_at(wanted)
    return at if at is None or at == wanted else at + late


def _after_rain(picture: Picture, played: list[Played], rains: list[Rain]) -> Iterable[Move]:
    """While it rains nobody is called: what would start then starts at the end of the rain at the soonest."""
    for rain in rains:
        for one in played:
            if one.start >= rain.end and picture.points[one.match.key] < rain.end and one.start < rain.end + 600:
                yield Move(at=rain.start, match=one.match.key, point=rain.end)


def _failures(picture: Picture, dice: np.random.Generator) -> list[Failure]:
    risks, found = picture.risks, []
    for day in picture.days:
        for kind, names, chance, median in (
            ("machine", picture.machines, risks.machine_fails, risks.machine_min),
            ("stringer", picture.stringers, risks.stringer_away, risks.stringer_min),
        ):
            for name in names:
                fails, at, normal = dice.random(), dice.random(), dice.standard_normal()
                start = int(day.opens + at * (day.closes - day.opens))
                if fails < chance:
                    end = start + max(10, round(median * exp(0.7 * normal)))
                    found.append(Failure(**{kind: name}, start=start, end=end))
    return found
