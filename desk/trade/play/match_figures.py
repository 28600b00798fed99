"""Published figures of match lengths, early ends and changeovers.

Computed from "Tennis databases, files, and algorithms" by Jeff Sackmann / Tennis Abstract (CC BY-NC-SA 4.0,
snapshots of December 2024): tour level 2021-24, doubles 2016-20; 8 361, 8 763, 1 723 and 4 026 matches. Only
these summary figures are used.
"""

from dataclasses import dataclass
from math import sqrt
from typing import Literal

from desk.trade.errors import PlayError

FormatName = Literal["men_3", "women_3", "men_5", "doubles"]

SET = 11
"""Gamma shape of one set's length. In every row below, sd of ln minutes times the root of the number of sets
is 0.29 to 0.31, as for independent sets that vary by 30 %: shape 1 / 0.3^2 = 11 (derived)."""

MATCH_TIE_BREAK = 4
"""Gamma shape of a match tie-break, taken as a third of a set (assumed)."""

BETWEEN_LEAST_MIN = 15
BETWEEN_MEDIAN_MIN = 23
"""5 % point and median of the minutes between two matches on a court."""


@dataclass(frozen=True)
class Part:
    """One lognormal of a mixture: weight, mean and sd of ln minutes, gamma shapes of its sets."""

    weight: float
    mu: float
    sigma: float
    sets: tuple[int, ...]


@dataclass(frozen=True)
class MatchFormat:
    """A format: its mixture of lengths, and how it may end early (probabilities; minutes)."""

    label: str
    parts: tuple[Part, ...]
    walkover: float
    retired: float
    retired_median_min: float
    retired_sigma: float

    @property
    def retired_once_begun(self) -> float:
        """Probability that a match which is played ends by retirement."""
        return self.retired / (1 - self.walkover)

    @property
    def most_sets(self) -> int:
        """The number of sets when it goes the distance."""
        return max(len(part.sets) for part in self.parts)

    def log_mean_sd(self) -> tuple[float, float]:
        """Mean and sd of ln minutes of a completed match."""
        mean = sum(part.weight * part.mu for part in self.parts)
        square = sum(part.weight * (part.sigma**2 + part.mu**2) for part in self.parts)
        return mean, sqrt(square - mean**2)


# How a retired match's length spreads about its published median is fitted to the 1 % points of the published
# table of starts. For doubles no figure of retirements is published: the share and proportion of men's best of
# 3 are assumed, and four matches in ten are taken to need the match tie-break.
FORMATS: dict[FormatName, MatchFormat] = {
    "men_3": MatchFormat(
        "best of 3, men",
        (Part(0.637, 4.4715, 0.2072, (SET,) * 2), Part(0.363, 4.9465, 0.1695, (SET,) * 3)),
        walkover=0.0074,
        retired=0.025,
        retired_median_min=56,
        retired_sigma=0.6,
    ),
    "women_3": MatchFormat(
        "best of 3, women",
        (Part(0.659, 4.4300, 0.2177, (SET,) * 2), Part(0.341, 4.9331, 0.1748, (SET,) * 3)),
        walkover=0.0092,
        retired=0.031,
        retired_median_min=60,
        retired_sigma=0.6,
    ),
    "men_5": MatchFormat(
        "best of 5, men",
        (
            Part(0.445, 4.8177, 0.1800, (SET,) * 3),
            Part(0.341, 5.1678, 0.1531, (SET,) * 4),
            Part(0.214, 5.4204, 0.1367, (SET,) * 5),
        ),
        walkover=0.0054,
        retired=0.029,
        retired_median_min=92,
        retired_sigma=0.45,
    ),
    "doubles": MatchFormat(
        "doubles, match tie-break",
        (
            Part(0.6, 4.307, 0.222, (SET, SET)),
            Part(0.4, 4.307, 0.222, (SET, SET, MATCH_TIE_BREAK)),
        ),
        walkover=0.025,
        retired=0.025,
        retired_median_min=41,
        retired_sigma=0.6,
    ),
}


def match_format(name: str) -> MatchFormat:
    """The figures of a format; an unknown name is refused."""
    for known, found in FORMATS.items():
        if known == name:
            return found
    raise PlayError(f'"{name}" is no format', "Match", f"Take one of {', '.join(FORMATS)}.")


def check_sets(name: str, sets_done: int | None) -> None:
    """Refuse a number of finished sets that no match of this format still on can have."""
    found = match_format(name)
    if sets_done is not None and not 0 <= sets_done < found.most_sets:
        raise PlayError(
            f"{sets_done} sets are over in a match still on ({found.label})",
            "Match",
            f"Give 0 to {found.most_sets - 1}, or mark the match as finished.",
        )
