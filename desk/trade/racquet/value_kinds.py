"""What a value may be, by its kind: the field, the event file's cell and the check follow from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol

from desk.trade.errors import MoneyError, TimeError
from desk.trade.event.event_time import EventClock
from desk.trade.event.money import check_currency


class Kind(Protocol):
    def fault(self, value: Any) -> str:
        """Return what is wrong with a value, or nothing."""


@dataclass(frozen=True)
class Text:
    """One line, or more where `lines` says so."""

    most: int = 200
    required: bool = False
    lines: bool = False

    def fault(self, value: Any) -> str:
        if self.required and not value.strip():
            return "say something"
        return "" if len(value) <= self.most else f"at most {self.most} letters"


@dataclass(frozen=True)
class Whole:
    low: int
    high: int
    unit: str

    def fault(self, value: Any) -> str:
        fits = isinstance(value, int) and self.low <= value <= self.high
        return "" if fits else f"whole {self.unit} from {self.low} to {self.high}"


@dataclass(frozen=True)
class Number:
    low: float
    high: float
    unit: str

    def fault(self, value: Any) -> str:
        return "" if self.low <= value <= self.high else f"{self.unit} from {self.low:g} to {self.high:g}"


@dataclass(frozen=True)
class PerCent:
    """Per cent with two decimals, kept as whole hundredths of a per cent."""

    def fault(self, value: Any) -> str:
        return "" if isinstance(value, int) and 0 <= value <= 10_000 else "per cent from 0 to 100, such as 8.1"


@dataclass(frozen=True)
class YesNo:
    def fault(self, value: Any) -> str:
        return "" if isinstance(value, bool) else "say yes or no"


@dataclass(frozen=True)
class Choice:
    """One of some values, each with its word on the screen."""

    words: Mapping[str, str]

    def fault(self, value: Any) -> str:
        return "" if value in self.words else "choose one of: " + ", ".join(self.words)


@dataclass(frozen=True)
class Zone:
    def fault(self, value: Any) -> str:
        try:
            EventClock(value, date(2000, 1, 1))
        except TimeError as error:
            return error.to_do
        return ""


@dataclass(frozen=True)
class Currency:
    def fault(self, value: Any) -> str:
        try:
            check_currency(value)
        except MoneyError as error:
            return error.to_do
        return ""


REACH_CM = Number(5, 100, "centimetres")
GAUGE_MM = Number(0.5, 2, "millimetres")
HOURS_A_WEEK = Number(0, 168, "hours")
PLAYED_H = Number(0, 1000, "hours")
PACE = Whole(50, 200, "per cent of house time")
HOUSE_MINUTES = Number(5, 120, "minutes")
REEL_M = Number(0, 2000, "metres")
HEAD_SQ_IN = Number(60, 140, "square inches")
HEAD_LENGTH_CM = Number(20, 39.4, "centimetres")
HEAD_WIDTH_CM = Number(15, 29.2, "centimetres")
PRE_STRETCH = Whole(0, 25, "per cent")
"""Figures that come in by more than one way, each with the one range for all of them. The greatest head is that of
the ITF Rules of Tennis, Rule 4 and Appendix II: 39.4 x 29.2 cm, an ellipse of 140 sq in."""
