"""Kinds of a setting: what a value may be. The form, the event file's cell and the check follow from the kind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol

from desk.trade.errors import MoneyError, TimeError
from desk.trade.event_time import EventClock
from desk.trade.money import check_currency


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
