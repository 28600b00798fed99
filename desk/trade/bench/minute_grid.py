"""Distributions over whole minutes, and the exact arithmetic of a chain of them.

A `MinuteGrid` is a finite probability mass function on consecutive minutes. Convolution, the later of two
independent times, a floor and a condition are exact on the grid; nothing is sampled.
"""

from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import erf, sqrt

import numpy as np
import numpy.typing as npt

Masses = npt.NDArray[np.float64]

NEGLIGIBLE = 1e-7
"""Tail mass cut from either end after a convolution, to keep the arrays short."""

_LONG = 30_000


@dataclass(frozen=True, eq=False)
class MinuteGrid:
    """P(minute = first + i) = p[i], with p summing to 1."""

    first: int
    p: Masses

    @classmethod
    def at(cls, minute: int) -> "MinuteGrid":
        """A minute that is known for certain."""
        return cls(minute, np.ones(1))

    @property
    def last(self) -> int:
        """The latest minute with mass."""
        return self.first + len(self.p) - 1

    @cached_property
    def mean(self) -> float:
        """Mean minute."""
        return self.first + float(np.arange(len(self.p)) @ self.p)

    @property
    def sd(self) -> float:
        """Standard deviation, minutes."""
        away = np.arange(len(self.p)) + self.first - self.mean
        return float(np.sqrt(away**2 @ self.p))

    def chance_before(self, minute: int) -> float:
        """P(X < minute)."""
        return float(self.p[: max(0, minute - self.first)].sum())

    def point(self, chance: float) -> int:
        """The latest minute before which X falls with a probability of at most `chance`."""
        below = np.cumsum(self.p)
        return self.first + min(int(np.searchsorted(below, chance + 1e-12, side="right")), len(self.p) - 1)

    def plus(self, other: "MinuteGrid") -> "MinuteGrid":
        """The sum of two independent variables."""
        return MinuteGrid(self.first + other.first, _convolved(self, other)).trimmed()

    def shifted(self, minutes: int) -> "MinuteGrid":
        """X + minutes."""
        return MinuteGrid(self.first + minutes, self.p)

    def no_earlier(self, floor: int) -> "MinuteGrid":
        """The later of X and `floor`."""
        if floor <= self.first:
            return self
        if floor >= self.last:
            return MinuteGrid.at(floor)
        kept = self.p[floor - self.first :].copy()
        kept[0] += self.p[: floor - self.first].sum()
        return MinuteGrid(floor, kept)

    def given_at_least(self, minute: int) -> "MinuteGrid":
        """X, given that it is not before `minute`; that minute itself where X had no mass left."""
        if minute <= self.first:
            return self
        kept = self.p[minute - self.first :]
        mass = kept.sum()
        return MinuteGrid(minute, kept / mass) if mass > NEGLIGIBLE else MinuteGrid.at(minute)

    def later_of(self, other: "MinuteGrid") -> "MinuteGrid":
        """The later of two independent variables: their distribution functions multiply."""
        if other.last <= self.first:
            return self
        if self.last <= other.first:
            return other
        first, last = max(self.first, other.first), max(self.last, other.last)
        cdf = self._cdf(first, last) * other._cdf(first, last)
        return MinuteGrid(first, np.diff(cdf, prepend=0.0)).trimmed()

    def mixed(self, other: "MinuteGrid", weight: float) -> "MinuteGrid":
        """`other` with probability `weight`, else self."""
        first, last = min(self.first, other.first), max(self.last, other.last)
        p = np.zeros(last - first + 1)
        p[self.first - first : self.last - first + 1] += (1 - weight) * self.p
        p[other.first - first : other.last - first + 1] += weight * other.p
        return MinuteGrid(first, p)

    def steps(self, width: int) -> list[tuple[int, float]]:
        """The masses gathered in steps of `width` minutes, each at its middle."""
        padded = np.pad(self.p, (0, -len(self.p) % width)).reshape(-1, width).sum(axis=1)
        return [(self.first + i * width + width // 2, float(mass)) for i, mass in enumerate(padded) if mass > 0]

    def trimmed(self) -> "MinuteGrid":
        """Without the negligible tails, scaled back to 1."""
        below = np.cumsum(self.p)
        low = int(np.searchsorted(below, NEGLIGIBLE))
        high = int(np.searchsorted(below, below[-1] - NEGLIGIBLE)) + 1
        kept = self.p[low:high]
        return MinuteGrid(self.first + low, kept / kept.sum())

    def _cdf(self, first: int, last: int) -> Masses:
        """P(X <= minute) for first..last."""
        at = np.arange(first, last + 1) - self.first
        result: Masses = self._below[np.clip(at + 1, 0, len(self.p))]
        return result

    @cached_property
    def _below(self) -> Masses:
        """P(X < minute) from the first minute to the one after the last."""
        return np.concatenate(([0.0], np.cumsum(self.p)))


@lru_cache(maxsize=2048)
def lognormal(mu: float, sigma: float, longest: int) -> Masses:
    """Masses of exp(N(mu, sigma)) rounded to the whole minutes 0 to `longest`."""
    edges = np.log(np.arange(1, longest + 2) - 0.5)
    below = [0.0, *(0.5 * (1 + erf((edge - mu) / (sigma * sqrt(2)))) for edge in edges)]
    masses = np.diff(below)
    shares: Masses = masses / max(masses.sum(), 1e-300)
    return shares


def _convolved(one: MinuteGrid, other: MinuteGrid) -> Masses:
    """The masses of a sum; by Fourier transform where the arrays are long, to 1e-15."""
    if len(one.p) * len(other.p) < _LONG:
        return np.convolve(one.p, other.p)
    size = len(one.p) + len(other.p) - 1
    padded = 1 << (size - 1).bit_length()
    product = np.fft.rfft(one.p, padded) * _spectrum(other, padded)
    result: Masses = np.maximum(np.fft.irfft(product, padded)[:size], 0.0)
    return result


@lru_cache(maxsize=128)
def _spectrum(grid: MinuteGrid, padded: int) -> npt.NDArray[np.complex128]:
    """The transform of a length that many matches share."""
    return np.fft.rfft(grid.p, padded)
