"""A tension as it was spoken, and the same in the other unit."""

from dataclasses import dataclass
from math import isfinite
from typing import Annotated, Literal

from exports.errors import ReportError

TensionUnit = Literal["lb", "kg"]

KG_PER_LB = 0.453_592_37
"""Kilograms in one pound, exactly: NIST SP 811 (2008), App. B.8."""


@dataclass(frozen=True, kw_only=True)
class Tension:
    """A tension with the unit in which it was spoken.

    Raises
    ------
    ReportError
        If the unit is neither lb nor kg, or the value is no finite number.
    """

    value: Annotated[float, "as spoken"]
    unit: Annotated[TensionUnit, "unit as spoken: lb or kg"]

    def __post_init__(self) -> None:
        if self.unit not in ("lb", "kg"):
            raise ReportError(f"Tension {self.value} has the unit {self.unit!r}; say lb or kg.")
        object.__setattr__(self, "value", float(self.value))
        if not isfinite(self.value):
            raise ReportError(f"Tension {self.value} {self.unit} is no number; give the value as spoken.")

    @property
    def lb(self) -> float:
        """The tension in pounds."""
        return self.value if self.unit == "lb" else self.value / KG_PER_LB

    @property
    def kg(self) -> float:
        """The tension in kilograms."""
        return self.value if self.unit == "kg" else self.value * KG_PER_LB

    @property
    def spoken(self) -> str:
        """Value and unit as spoken, such as ``53.5 lb``."""
        return f"{self.value:g} {self.unit}"
