"""How much string a racquet takes: mains and crosses in metres.

The head is an ellipse. Each string is a chord of it; between two strings the string turns round the frame, and at
its ends it reaches to the machine and is tied. Strings are spread evenly over the middle 80 % (mains) and 90 %
(crosses) of the head: their mean chord is then 0.88 of the head's length and 0.84 of its width, as in the usual
estimate mains = m * 0.88 L + (m - 1) * 4 cm + 70 cm, crosses = x * 0.84 W + (x - 1) * 4 cm + 65 cm (derived from
common practice; 98 sq in 18x20 gives 12.1 m, 100 sq in 16x19 11.3 m, 93 sq in 16x19 11.0 m). What the benches
measure corrects it.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import pi, sqrt
from typing import Literal

from desk.trade.errors import UnitError
from desk.trade.racquet.bed import Bed

Pieces = Literal[1, 2]

HEAD_RATIO = 1.3
"""Length by width of a head of which only the area is known (common practice)."""
TURN_CM = 4.0
REACH_CM = 35.0
"""From the frame to the gripper, at each end that is pulled; a machine may have its own."""
CROSS_START_CM = 30.0
"""The end of the crosses that starts with a knot."""
MAINS_SPREAD = 0.8
CROSSES_SPREAD = 0.9
COUNTS = Bed(range(10, 25), range(10, 31))
"""How many mains and crosses a frame may have."""
PRIOR_JOBS = 5
"""Jobs as the model has them that stand beside the measured ones."""


@dataclass(frozen=True, kw_only=True)
class Head:
    """The inside of a racquet's head, centimetres."""

    length_cm: float
    width_cm: float

    def __post_init__(self) -> None:
        if not 10 <= self.width_cm <= self.length_cm <= 50:
            raise UnitError(
                f"A head of {self.length_cm:.1f} x {self.width_cm:.1f} cm",
                "Head",
                "Give the inside of the head, length first, between 10 and 50 cm.",
            )

    @classmethod
    def from_area(cls, area_cm2: float, ratio: float = HEAD_RATIO) -> "Head":
        """An ellipse of this area, square centimetres, `ratio` as long as wide."""
        if area_cm2 <= 0 or ratio < 1:
            raise UnitError(f"A head of {area_cm2} cm2", "Head", "Give its area, above 0.")
        width = sqrt(4 * area_cm2 / (pi * ratio))
        return cls(length_cm=ratio * width, width_cm=width)


@dataclass(frozen=True)
class Pattern(Bed[int]):
    """Mains by crosses."""

    def __post_init__(self) -> None:
        if any(count not in COUNTS[half] for half, count in self.items()):
            raise UnitError(f"{self} strings", "Pattern", "Count mains by crosses, e.g. 16 × 19.")

    def __str__(self) -> str:
        return f"{self.mains} × {self.crosses}"


class Metres(Bed[float]):
    """Metres of mains and crosses."""

    @property
    def total_m(self) -> float:
        """Metres of both, to the centimetre."""
        return round(self.mains + self.crosses, 2)


@dataclass(frozen=True)
class LengthFactors(Bed[float]):
    """What the measurements at the benches teach: factors on mains and crosses, and from how many jobs."""

    mains: float = 1.0
    crosses: float = 1.0
    n: int = 0


def string_length(
    head: Head,
    pattern: Pattern,
    pieces: Pieces = 2,
    reach_cm: float = REACH_CM,
    factors: LengthFactors | None = None,
) -> Metres:
    """Metres of mains and crosses for one racquet.

    One piece runs on from mains into crosses and saves the end that starts the crosses.
    """
    factors = factors or LengthFactors()
    mains = head.length_cm * _chords(pattern.mains, MAINS_SPREAD) + (pattern.mains - 1) * TURN_CM + 2 * reach_cm
    crosses = head.width_cm * _chords(pattern.crosses, CROSSES_SPREAD) + (pattern.crosses - 1) * TURN_CM + reach_cm
    if pieces == 2:
        crosses += CROSS_START_CM
    return Metres(factors.mains * mains / 100, factors.crosses * crosses / 100)


def learned_factors(measured: Iterable[tuple[Metres, Metres]]) -> LengthFactors:
    """Factors from (measured, computed without factors) of finished jobs, shrunk towards 1."""
    mains, crosses, n = 0.0, 0.0, 0
    for used, computed in measured:
        if min(used) <= 0:
            raise UnitError("A length of 0 m or less", "String used", "Measure it again.")
        mains += _clipped(used.mains / computed.mains)
        crosses += _clipped(used.crosses / computed.crosses)
        n += 1
    whole = PRIOR_JOBS + n
    return LengthFactors((PRIOR_JOBS + mains) / whole, (PRIOR_JOBS + crosses) / whole, n)


def _chords(count: int, spread: float) -> float:
    """Sum of the chords of a unit ellipse at `count` places evenly over the middle `spread` of it."""
    places = (spread * (2 * i + 1 - count) / count for i in range(count))
    return sum(sqrt(1 - place * place) for place in places)


def _clipped(ratio: float) -> float:
    """A ratio, or None where a decimal point slipped or a reel ended."""
    return min(1.5, max(0.67, ratio))
