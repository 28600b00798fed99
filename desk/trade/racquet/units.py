"""Tension, length and area: exact conversions that keep the value and unit as spoken.

Factors: NIST SP 811 (2008), Appendix B.8: pound 0.453 592 37 kg, kilogram-force 9.806 65 N,
pound-force 4.448 221 615 260 5 N, inch 2.54 cm, foot 0.3048 m, all exact.
The trade says "pounds" and "kilos" of tension for pound-force and kilogram-force.
"""

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Context, Decimal
from typing import Literal

from desk.trade.errors import UnitError

TensionUnit = Literal["lb", "kg"]
LengthUnit = Literal["mm", "cm", "m", "in", "ft"]
AreaUnit = Literal["cm2", "sq in"]

KG_PER_LB = Decimal("0.45359237")
CM_PER_INCH = Decimal("2.54")
M_PER_FOOT = Decimal("0.3048")
CM2_PER_SQUARE_INCH = CM_PER_INCH * CM_PER_INCH

STEP = Decimal("0.5")
LIMITS: dict[TensionUnit, tuple[Decimal, Decimal]] = {
    "kg": (Decimal("7.5"), Decimal("40")),
    "lb": (Decimal("16"), Decimal("88")),
}
"""Lowest and highest tension strung, seen on tour in each spoken unit (press reports)."""

_DEEP = Context(prec=50, rounding=ROUND_HALF_EVEN)
_NUMBER = re.compile(r"(\d+(?:[.,]\d+)?)(\s+1/2|\s*½)?\s*([^\d\s].*)?")
_COMMA = re.compile(r"[+-]?\d+,(\d{1,2}|\d{4,})")
_TENSION_WORDS: dict[str, TensionUnit] = {
    **dict.fromkeys(("lb", "lbs", "lbf", "pound", "pounds", "#"), "lb"),
    **dict.fromkeys(("kg", "kgs", "kgf", "kilo", "kilos"), "kg"),
}
_LENGTH_WORDS: dict[str, LengthUnit] = {
    **dict.fromkeys(("in", "inch", "inches", '"', "″"), "in"),
    **dict.fromkeys(("ft", "foot", "feet", "'", "′"), "ft"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
    "mm": "mm",
    "cm": "cm",
}
_AREA_WORDS: dict[str, AreaUnit] = {
    **dict.fromkeys(("sq in", "sq. in.", "sq.in.", "sqin", "in2", "in²", "square inches"), "sq in"),
    **dict.fromkeys(("cm2", "cm²", "sq cm", "sq. cm", "square centimetres"), "cm2"),
}
_M_PER: dict[LengthUnit, Decimal] = {
    "mm": Decimal("0.001"),
    "cm": Decimal("0.01"),
    "m": Decimal(1),
    "in": CM_PER_INCH / 100,
    "ft": M_PER_FOOT,
}


def decimal_point(text: str) -> str:
    """Write a figure's decimal comma as a point; before three digits it may part thousands and stays."""
    typed = text.strip()
    return typed.replace(",", ".") if _COMMA.fullmatch(typed) else typed


@dataclass(frozen=True)
class Tension:
    """One tension as the player spoke it: 52.5 lb stays 52.5 lb."""

    value: Decimal
    unit: TensionUnit

    def __post_init__(self) -> None:
        if self.unit not in LIMITS:
            raise UnitError(f"{self.unit!r} is no unit of tension", "Tension", "Say lb or kg.")
        low, high = LIMITS[self.unit]
        if not low <= self.value <= high:
            outside = f"{self.display()} is outside {low} to {high} {self.unit}"
            raise UnitError(outside, "Tension", self._what_it_may_be())

    def _what_it_may_be(self) -> str:
        other: TensionUnit = "lb" if self.unit == "kg" else "kg"
        low, high = LIMITS[other]
        if low <= self.value <= high:
            return f"Did you mean {plain(self.value)} {other}? Ask the player."
        return "Check the number and its unit with the player."

    @property
    def in_kg(self) -> Decimal:
        """Kilograms-force: exact, since a pound has a finite decimal."""
        return self.value if self.unit == "kg" else _DEEP.multiply(self.value, KG_PER_LB)

    @property
    def in_lb(self) -> Decimal:
        """Pounds-force: as spoken, or the quotient to 50 significant figures."""
        return self.value if self.unit == "lb" else _DEEP.divide(self.value, KG_PER_LB)

    def in_unit(self, unit: TensionUnit) -> Decimal:
        """The tension in `unit`, unrounded."""
        return self.in_lb if unit == "lb" else self.in_kg

    def display(self) -> str:
        """As spoken: "52.5 lb"."""
        return f"{plain(self.value)} {self.unit}"

    def __str__(self) -> str:
        return self.display()


@dataclass(frozen=True)
class Length:
    """A length as measured, with its unit."""

    value: Decimal
    unit: LengthUnit

    @property
    def in_m(self) -> Decimal:
        """Metres, exact."""
        return self.value * _M_PER[self.unit]

    @property
    def in_cm(self) -> Decimal:
        """Centimetres, exact."""
        return self.in_m * 100

    def display(self) -> str:
        """As measured: "40 ft"."""
        return f"{plain(self.value)} {self.unit}"


def parse_tension(text: str) -> Tension:
    """Read "52.5 lb" or "23,5 kg"; a number without its unit is refused, never guessed."""
    value, word = _split(text, "Tension", "52.5 lb or 23.5 kg")
    if not word:
        raise UnitError(f'"{text.strip()}" has no unit', "Tension", "Say lb or kg: 16 to 88 may be either.")
    unit = _TENSION_WORDS.get(word)
    if unit is None:
        raise UnitError(f'"{word}" is no unit of tension', "Tension", "Say lb or kg.")
    return Tension(value, unit)


def parse_length(text: str) -> Length:
    """Read "12 m", "40 ft", "27 in", "68,5 cm" or "1.25 mm"; the unit is mandatory."""
    value, word = _split(text, "Length", "12 m or 40 ft")
    unit = _LENGTH_WORDS.get(word)
    if unit is None or value == 0:
        raise UnitError(f'"{text.strip()}" is no length', "Length", "Give a number and mm, cm, m, in or ft.")
    return Length(value, unit)


def parse_area_cm2(text: str) -> Decimal:
    """Read a head size, "98 sq in" or "632 cm2", and give square centimetres, exact."""
    value, word = _split(text, "Head size", "98 sq in or 632 cm2")
    unit = _AREA_WORDS.get(word)
    if unit is None or value == 0:
        raise UnitError(f'"{text.strip()}" is no head size', "Head size", "Give a number and sq in or cm2.")
    return value * CM2_PER_SQUARE_INCH if unit == "sq in" else value


def lb_to_kg(pounds: Decimal) -> Decimal:
    """Pounds to kilograms, exact."""
    return _DEEP.multiply(pounds, KG_PER_LB)


def plain(value: Decimal) -> str:
    """A decimal without exponent and without idle zeros: 52.50 reads "52.5"."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _split(text: str, where: str, example: str) -> tuple[Decimal, str]:
    match = _NUMBER.fullmatch(text.strip())
    if match is None:
        raise UnitError(f'"{text.strip()}" cannot be read', where, f"Write it like {example}.")
    number, half, word = match.groups()
    value = Decimal(number.replace(",", ".")) + (STEP if half else 0)
    return value, (word or "").strip().lower()
