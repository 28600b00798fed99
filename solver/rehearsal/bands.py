"""Bands: where nine days of ten lie, and where a mean lies."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
import numpy.typing as npt


@dataclass(frozen=True, slots=True)
class Band:
    """A middle and the two ends of its band."""

    middle: float
    low: float
    high: float

    def holds(self, value: float) -> bool:
        """Whether a value lies in the band, its ends in."""
        return self.low <= value <= self.high


def band_of(values: Sequence[float] | npt.NDArray[np.float64], share: float = 0.9) -> Band:
    """Give the mean of replications and the span in which `share` of them lie, the same part cut at either end."""
    found = np.asarray(values, np.float64)
    if not len(found):
        raise ValueError("A band needs at least one replication.")
    low, high = np.quantile(found, ((1 - share) / 2, (1 + share) / 2), method="inverted_cdf")
    return Band(float(found.mean()), float(low), float(high))


def mean_band(means: Sequence[float] | npt.NDArray[np.float64], share: float = 0.9) -> Band:
    """Give the mean of independent replications, or of batches of one long run, and the band of that mean.

    Student's t by its expansion in 1/degrees of freedom (Abramowitz and Stegun 1964, 26.7.5).
    """
    found = np.asarray(means, np.float64)
    if len(found) < 2:
        raise ValueError("The band of a mean needs at least two replications.")
    x, v = NormalDist().inv_cdf((1 + share) / 2), len(found) - 1
    t = x + (x**3 + x) / (4 * v) + (5 * x**5 + 16 * x**3 + 3 * x) / (96 * v**2)
    t += (3 * x**7 + 19 * x**5 + 17 * x**3 - 15 * x) / (384 * v**3)
    half = t * float(found.std(ddof=1)) / len(found) ** 0.5
    middle = float(found.mean())
    return Band(middle, middle - half, middle + half)
