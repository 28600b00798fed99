"""Checks of a frame before it is strung and of racquets before they leave.

Limits of a racquet: ITF Rules of Tennis, Rule 4 and Appendix II. The printed range and the maker's manual come
first.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from desk.trade.errors import TradeError
from desk.trade.racquet.units import LIMITS, Tension

SISTERS_WITHIN = Decimal(1)
"""Racquets of one player at one tension lie within 1 unit of stringbed stiffness, else redo: certification practice."""


@dataclass(frozen=True)
class RangeCheck:
    """Where a tension lies against the frame's printed range; above it the owner's consent is needed.

    `asks_back` says that it is so far below that it may be a slip, `meant` what it is in the range in the other unit.
    """

    place: Literal["below", "within", "above"]
    needs_consent: bool
    message: str
    asks_back: bool = False
    meant: Tension | None = None


FAR_BELOW = Decimal("0.75")
"""Below so much of the lowest printed tension somebody asks back. Players on tour string down to 7.5 kg (press
reports), so that it may be meant; the share is our own."""


def check_range(tension: Tension, low: Tension, high: Tension) -> RangeCheck:
    """Compare a tension with the frame's range, in kilograms-force and exactly, whatever the units spoken."""
    if low.in_kg > high.in_kg:
        raise TradeError(f"{low.display()} to {high.display()}", "Frame's range", "Give the low value first.")
    printed = f"the frame's range, {low.display()} to {high.display()}"
    if tension.in_kg > high.in_kg:
        return RangeCheck(
            "above", True, f"{tension.display()} is above {printed}: ask for the owner's consent and keep it."
        )
    if tension.in_kg < low.in_kg:
        meant = _meant(tension, low, high)
        ask = "check it with the player" if meant is None else f"did you mean {meant.display()}? Ask the player"
        far = meant is not None or tension.in_kg < low.in_kg * FAR_BELOW
        return RangeCheck("below", False, f"{tension.display()} is below {printed}: {ask}.", asks_back=far, meant=meant)
    return RangeCheck("within", False, f"{tension.display()} is within {printed}.")


def check_lowest(tensions: Iterable[Tension], low: Tension, high: Tension) -> RangeCheck:
    """Compare the lowest of a racquet's tensions with the range: drop-off, sheet and import ask back by this."""
    return check_range(min(tensions, key=lambda one: one.in_kg), low, high)


def _meant(tension: Tension, low: Tension, high: Tension) -> Tension | None:
    """Return the same number in the other unit, where that lies in the range."""
    least, most = LIMITS["kg" if tension.unit == "lb" else "lb"]
    if not least <= tension.value <= most:
        return None
    other = Tension(tension.value, "kg" if tension.unit == "lb" else "lb")
    return other if low.in_kg <= other.in_kg <= high.in_kg else None


@dataclass(frozen=True)
class SisterFault:
    """Two sisters whose stiffness differs by more than the event allows."""

    softer: str
    stiffer: str
    difference: Decimal


def differing_sisters(readings: Mapping[str, Decimal], within: Decimal = SISTERS_WITHIN) -> tuple[SisterFault, ...]:
    """Pairs of one player's racquets of one card and day that differ by more than `within` units, widest first.

    `readings` is stringbed stiffness by racquet, all in the unit of the one device that read them.
    """
    ranked = sorted(readings.items(), key=lambda one: (one[1], one[0]))
    faults = [
        SisterFault(soft[0], stiff[0], stiff[1] - soft[1])
        for i, soft in enumerate(ranked)
        for stiff in ranked[i + 1 :]
        if stiff[1] - soft[1] > within
    ]
    return tuple(sorted(faults, key=lambda fault: (-fault.difference, fault.softer, fault.stiffer)))
