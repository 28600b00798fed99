"""Calibration of a stringing machine: before work each day, without a racquet, at two tensions.

A reading must lie within a tolerance of its reference, 0.5 lb unless the event sets more, up to 1 (common
practice). A machine outside it, or not yet read at two tensions today, is not used until it is put right by its
maker's manual.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from statistics import linear_regression

from desk.trade.racquet.units import Tension, lb_to_kg, plain

TOLERANCE_LB = Decimal("0.5")
READINGS_A_DAY = 2
DRIFT_READINGS = 3
"""Fewer days of readings make no trend."""


@dataclass(frozen=True)
class Reading:
    """One reading: day of the event, tension set, tension shown by the scale; units as read."""

    day: int
    reference: Tension
    shown: Tension

    @property
    def error_kg(self) -> Decimal:
        """Shown less set, kilograms-force, exact."""
        return self.shown.in_kg - self.reference.in_kg

    @property
    def error_lb(self) -> Decimal:
        """Shown less set, pounds-force."""
        return self.shown.in_lb - self.reference.in_lb

    def within(self, tolerance_lb: Decimal = TOLERANCE_LB) -> bool:
        """Whether the reading may stand; the tolerance itself may."""
        return abs(self.error_kg) <= lb_to_kg(tolerance_lb)


@dataclass(frozen=True)
class Fitness:
    """Whether a machine may be used today, and the reason in words; `failed` where it was read and is too far off.

    `back_at` is when it came back from a repair or a move, where it was not read since.
    """

    fit: bool
    reason: str
    failed: bool = False
    back_at: datetime | None = None


def fit_today(readings: Sequence[Reading], day: int, tolerance_lb: Decimal = TOLERANCE_LB) -> Fitness:
    """Judge a machine by its readings of `day`, given in the order they were taken; the last at a tension counts."""
    last: dict[Decimal, Reading] = {reading.reference.in_kg: reading for reading in readings if reading.day == day}
    for reading in last.values():
        if not reading.within(tolerance_lb):
            return Fitness(
                False,
                f"Set to {reading.reference.display()} it pulled {reading.shown.display()}: "
                f"more than {plain(tolerance_lb)} lb off. Put it right and calibrate again.",
                failed=True,
            )
    if len(last) < READINGS_A_DAY:
        done = f"{len(last)} of {READINGS_A_DAY} tensions read today"
        return Fitness(False, f"Not calibrated: {done}. Read it before work.")
    return Fitness(True, "Calibrated today.")


@dataclass(frozen=True)
class Drift:
    """The trend of a machine's errors: pounds a day, the last day's mean error, days until it leaves the tolerance."""

    lb_a_day: float
    last_error_lb: float
    days_left: int | None


def drift(readings: Sequence[Reading], tolerance_lb: Decimal = TOLERANCE_LB) -> Drift | None:
    """The straight line through the mean error of each day (least squares); None before three days of readings.

    `days_left` is None while the line does not lead out of the tolerance within 30 days.
    """
    days = sorted({reading.day for reading in readings})
    if len(days) < DRIFT_READINGS:
        return None
    means = [_mean([float(one.error_lb) for one in readings if one.day == day]) for day in days]
    slope = linear_regression(days, means).slope
    return Drift(slope, means[-1], _days_left(means[-1], slope, float(tolerance_lb)))


def _days_left(error: float, slope: float, tolerance: float) -> int | None:
    for days in range(31):
        if abs(error + slope * days) > tolerance:
            return days
    return None


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)
