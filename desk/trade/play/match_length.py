"""How long a match lasts, before it starts and while it is on; and the minutes between two matches.

Lengths are the published mixtures of lognormals (match_figures), rounded to whole minutes. With independent
gamma distributed sets the share of a match that is over after d of its sets is Beta distributed, so the sets
played so far say how much is still to come.
"""

from functools import lru_cache
from math import comb, log

import numpy as np

from desk.trade.bench.minute_grid import Masses, MinuteGrid, lognormal
from desk.trade.play.match_figures import BETWEEN_LEAST_MIN, BETWEEN_MEDIAN_MIN, check_sets, match_format

LONGEST_MIN = 720
"""End of the grid, minutes of play: beyond the longest match that these figures can mean."""

Z_5 = 1.6449
"""5 % point of the standard normal, without its sign."""


@lru_cache(maxsize=256)
def length(name: str, scale: float = 1.0) -> MinuteGrid:
    """Minutes on court of a match that starts, retirements in; `scale` is the event's factor."""
    share = match_format(name).retired_once_begun
    completed = np.sum(_completed(name, scale), axis=0)
    return MinuteGrid(0, (1 - share) * completed + share * _retired(name, scale)).trimmed()


@lru_cache(maxsize=256)
def completed_length(name: str, scale: float = 1.0) -> MinuteGrid:
    """Minutes on court of a match that is played to its end."""
    return MinuteGrid(0, np.sum(_completed(name, scale), axis=0)).trimmed()


@lru_cache(maxsize=256)
def lasting(name: str, scale: float = 1.0) -> MinuteGrid:
    """Minutes from the start of a match to come to its end: nothing when it is a walkover."""
    return length(name, scale).mixed(MinuteGrid.at(0), match_format(name).walkover)


def length_given(name: str, played_min: int, sets_done: int | None = None, scale: float = 1.0) -> MinuteGrid:
    """Minutes in all of a match that is still on after `played_min`, with `sets_done` sets over if known."""
    check_sets(name, sets_done)
    whole = length(name, scale).given_at_least(played_min + 1)
    if sets_done is None or played_min < 1 or played_min + 1 >= LONGEST_MIN:
        return whole
    completed = _completed_given(name, played_min, sets_done, scale)
    if completed.sum() < 1e-12:
        return whole
    early = _retired(name, scale)[played_min + 1 :]
    begun = match_format(name).retired_once_begun * early.sum()
    left = begun + (1 - match_format(name).retired_once_begun) * _completed(name, scale)[:, played_min + 1 :].sum()
    share = begun / left
    p = (1 - share) * completed / completed.sum() + share * early / max(early.sum(), 1e-300)
    return MinuteGrid(played_min + 1, p).trimmed()


@lru_cache(maxsize=64)
def changeover(least_min: int = BETWEEN_LEAST_MIN, median_min: int = BETWEEN_MEDIAN_MIN) -> MinuteGrid:
    """Minutes between two matches: a lognormal with this 5 % point and median (the shape is our choice)."""
    if least_min == median_min:
        return MinuteGrid.at(median_min)
    sigma = log(median_min / max(least_min, 1)) / Z_5
    return MinuteGrid(0, lognormal(log(median_min), sigma, LONGEST_MIN)).trimmed()


def _completed(name: str, scale: float) -> Masses:
    """Mass of every whole length, one row for each component, weights in."""
    rows = [part.weight * lognormal(log(scale) + part.mu, part.sigma, LONGEST_MIN) for part in match_format(name).parts]
    return np.array(rows)


def _retired(name: str, scale: float) -> Masses:
    found = match_format(name)
    return lognormal(log(scale * found.retired_median_min), found.retired_sigma, LONGEST_MIN)


def _completed_given(name: str, played_min: int, sets_done: int, scale: float) -> Masses:
    """Unnormalised mass of every length beyond `played_min`, given the sets that are over by then."""
    share = played_min / np.arange(played_min + 1, LONGEST_MIN + 1)
    total = np.zeros(len(share))
    rows = _completed(name, scale)[:, played_min + 1 :]
    for part, row in zip(match_format(name).parts, rows, strict=True):
        if sets_done < len(part.sets):
            reached = _share_over(share, part.sets, sets_done)
            total += row * (reached - _share_over(share, part.sets, sets_done + 1))
    return total


def _share_over(share: Masses, sets: tuple[int, ...], done: int) -> Masses:
    """P(the first `done` sets take at most `share` of the match): a Beta as a binomial tail."""
    if done == 0:
        return np.ones_like(share)
    if done == len(sets):
        return np.zeros_like(share)
    trials, least = sum(sets) - 1, sum(sets[:done])
    odds = share / (1 - share)
    polynomial = np.zeros_like(share)
    for wins in range(trials, least - 1, -1):
        polynomial = polynomial * odds + comb(trials, wins)
    tail: Masses = (1 - share) ** trials * odds**least * polynomial
    return np.minimum(tail, 1.0)
