"""Whether this event's matches run longer or shorter than the published figures, and by how much to believe it.

Before any match is played the event's factor is lognormal about `usual`, 1 unless the desk knows better, with an
sd of `EVENT_SD`. The logarithms of its completed matches pull it: the posterior mode. A match still on counts by
the length expected of it, since otherwise the short ones, which finish first, would make every morning look quick.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np

from desk.trade.errors import PlayError
from desk.trade.play.match_figures import match_format
from desk.trade.play.match_length import completed_length

EVENT_SD = 0.08
"""Measured on the tables that match_figures names, completed matches of 2014 to 2024, random effects by event: the
logarithms of lengths differ from event to event by 0.03 to 0.05, and from one span of years to another by 0.06 to
0.10 (2016-19 against 2021-24)."""

_CLIP_SD = 2.5
_ROUNDS = 12
_SETTLED = 5e-4


@dataclass(frozen=True)
class EventScale:
    """The factor on match lengths, to two decimals, and the number of completed matches behind it."""

    factor: float
    n: int


def learned_scale(
    completed: Sequence[tuple[str, int]], still_on: Sequence[tuple[str, int]] = (), usual: float = 1.0
) -> EventScale:
    """The event's factor from (format, minutes) of completed matches and of those still on.

    Without a completed match it is `usual`, what the desk expects of its event (surface, level, last year).
    A match that lies beyond 2.5 sd, such as one that nobody marked as finished, counts as 2.5 sd.
    """
    for name, minutes in completed:
        if minutes <= 0:
            raise PlayError(f"A completed match of {minutes} minutes ({name})", "Match", "Correct its end.")
    if not completed:
        return EventScale(usual, 0)
    shift = expected = log(usual)
    for _ in range(_ROUNDS):
        before, shift = shift, _mode(completed, [pair for pair in still_on if pair[1] > 0], shift, expected)
        if abs(shift - before) < _SETTLED:
            break
    return EventScale(round(exp(shift), 2), len(completed))


def _mode(
    completed: Sequence[tuple[str, int]], still_on: Sequence[tuple[str, int]], shift: float, expected: float
) -> float:
    pull, weight = expected / EVENT_SD**2, 1 / EVENT_SD**2
    seen = [(name, log(minutes)) for name, minutes in completed]
    seen += [(name, _expected_log(name, minutes, shift)) for name, minutes in still_on]
    for name, log_minutes in seen:
        mean, sd = match_format(name).log_mean_sd()
        away = min(max(log_minutes - mean, -_CLIP_SD * sd), _CLIP_SD * sd)
        pull += away / sd**2
        weight += 1 / sd**2
    return pull / weight


def _expected_log(name: str, played_min: int, shift: float) -> float:
    """E[ln length | length > played] at the factor exp(shift)."""
    grid = completed_length(name, round(exp(shift), 3)).given_at_least(played_min + 1)
    return float(np.log(np.arange(grid.first, grid.last + 1)) @ grid.p)
