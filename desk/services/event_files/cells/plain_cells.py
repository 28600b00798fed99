"""How the text of one cell becomes a value; each raises `CellFault` with what is expected."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from desk.services.event_files.raw import quoted
from desk.services.event_files.tables.spec import Around, CellFault, Parse
from desk.trade.errors import MoneyError, TimeError
from desk.trade.event.event_time import YEARS, EventClock
from desk.trade.event.money import check_currency, exponent
from desk.trade.racquet.value_kinds import Choice, Currency, Number, PerCent, Text, Whole, YesNo, Zone

_CODE = re.compile(r"[^\W_][\w.\-]{0,19}")
_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_PIN = re.compile(r"\d{4,8}")
_TIME_EXAMPLE = 'a time such as "14:05" (half past midnight is "24:30")'
_YES_NO = {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}


def words(most: int = 200, *, lines: bool = False) -> Parse:
    """Text of at most MOST characters, on one line unless LINES."""

    def parse(text: str, _around: Around) -> str:
        if len(text) > most or not (text.replace("\n", "") if lines else text).isprintable():
            raise CellFault(f"{'text' if lines else 'one line'} of at most {most} characters")
        return text

    return parse


def code(text: str, _around: Around) -> str:
    """A short name by which other tables name the row."""
    if not _CODE.fullmatch(text):
        raise CellFault("a code of at most 20 letters, digits, dots and dashes, without blanks")
    return text


def slug(text: str, _around: Around) -> str:
    """The event's name in addresses and commands."""
    if not _SLUG.fullmatch(text) or len(text) > 60:
        raise CellFault('small letters, digits and single dashes, such as "harbour-week"')
    return text


def pin(text: str, _around: Around) -> str:
    """A stringer's PIN for the bench."""
    if not _PIN.fullmatch(text):
        raise CellFault("4 to 8 digits (in a spreadsheet format the column as text, so that 0412 keeps its zero)")
    return text


def one_of(*allowed: str) -> Parse:
    """One of the words ALLOWED."""

    def parse(text: str, _around: Around) -> str:
        word = "_".join(text.casefold().replace("-", " ").split())
        if word not in allowed:
            raise CellFault("one of " + ", ".join(allowed))
        return word

    return parse


def checked(fault: Callable[[str], str]) -> Parse:
    """Text in which FAULT finds nothing wrong."""

    def parse(text: str, _around: Around) -> str:
        if expected := fault(text):
            raise CellFault(expected)
        return text

    return parse


def some_of(*allowed: str) -> Parse:
    """Some of the words ALLOWED, with blanks between; "everything" for all of them."""

    def parse(text: str, _around: Around) -> tuple[str, ...]:
        words = text.casefold().replace(",", " ").split()
        if words == ["everything"]:
            return allowed
        if not set(words) <= set(allowed):
            raise CellFault("everything, or some of " + ", ".join(allowed))
        return tuple(word for word in allowed if word in words)

    return parse


def yes_no(text: str, _around: Around) -> bool:
    """Yes or no."""
    if text.casefold() not in _YES_NO:
        raise CellFault("yes or no")
    return _YES_NO[text.casefold()]


def _without(text: str, unit: str) -> str:
    return text[: -len(unit)].strip() if unit and text.casefold().endswith(unit) else text


def whole(low: int, high: int, *, unit: str = "") -> Parse:
    """A whole number from LOW to HIGH; its UNIT may stand behind it."""

    def parse(text: str, _around: Around) -> int:
        text = _without(text, unit)
        if not re.fullmatch(r"-?\d{1,12}", text, re.ASCII) or not low <= int(text) <= high:
            raise CellFault(f"a whole number from {low} to {high}")
        return int(text)

    return parse


def _decimal(text: str, expected: str) -> Decimal:
    if not re.fullmatch(r"-?\d{1,12}([.,]\d{1,12})?", text, re.ASCII):
        raise CellFault(expected)
    return Decimal(text.replace(",", "."))


def number(low: float, high: float, *, unit: str = "") -> Parse:
    """A number from LOW to HIGH; its UNIT may stand behind it."""

    def parse(text: str, _around: Around) -> float:
        expected = f"a number from {low:g} to {high:g}"
        value = float(_decimal(_without(text, unit), expected))
        if not low <= value <= high:
            raise CellFault(expected)
        return value

    return parse


def per_cent_as_basis_points(text: str, _around: Around) -> int:
    """Per cent with at most two decimals, as hundredths of a per cent."""
    expected = "per cent from 0 to 100 with at most two decimals"
    value = _decimal(_without(text, "%"), expected) * 100
    if value != value.to_integral_value() or not 0 <= value <= 10_000:
        raise CellFault(expected)
    return int(value)


def money(text: str, around: Around) -> int:
    """An amount in the event's currency, as minor units."""
    digits = exponent(around.currency)
    expected = f"an amount of {around.currency} that is not negative, with at most {digits} decimals, without the sign"
    value = _decimal(text, expected).scaleb(digits)
    if value != value.to_integral_value() or not 0 <= value < 10**9:
        raise CellFault(expected)
    return int(value)


def currency(text: str, _around: Around) -> str:
    """An ISO 4217 code."""
    try:
        return check_currency(text.upper())
    except MoneyError as error:
        raise CellFault('the three letters of a currency, such as "EUR"') from error


def zone(text: str, _around: Around) -> str:
    """An IANA time zone."""
    try:
        EventClock(text, date(2000, 1, 1))
    except TimeError as error:
        raise CellFault('a time zone such as "Europe/Lisbon"') from error
    return text


def iso_day(text: str, _around: Around) -> date:
    """A date."""
    expected = 'a date written year-month-day, such as "2031-05-12"'
    try:
        found = date.fromisoformat(text)
    except ValueError as error:
        raise CellFault(expected) from error
    if found.year not in YEARS:
        raise CellFault(expected)
    return found


def day(text: str, around: Around) -> date:
    """A date, a weekday or the number of the event's day."""
    try:
        return around.clock.parse_day(text)
    except (ValueError, OverflowError) as error:
        raise CellFault('a day of the event, such as "2031-05-12"') from error


def time_of(text: str, around: Around) -> datetime | None:
    """A time of the row's day; None where the day has a fault of its own."""
    the_day = around.values.get("day") or around.values.get("date")
    return None if the_day is None else _moment(text, the_day, around)


def moment(text: str, around: Around) -> datetime | None:
    """A time of the row's day, or a day and a time."""
    name, blank, time = text.rpartition(" ")
    return _moment(time, day(name, around), around) if blank else time_of(text, around)


def _moment(text: str, the_day: date, around: Around) -> datetime:
    try:
        return around.clock.parse(text, the_day)
    except OverflowError as error:
        raise CellFault(_TIME_EXAMPLE) from error
    except TimeError as error:
        if "does not exist" not in error.what:
            raise CellFault(_TIME_EXAMPLE) from error
        expected = error.to_do.removeprefix("Take ").rstrip(".")
        raise CellFault(expected, found=f"{quoted(text)} ({error.what})") from error


def cell_of(kind: Any, unit: str = "") -> Parse:
    """A value of this KIND (see `value_kinds`); its UNIT may stand behind a number."""
    by_kind: dict[type, Callable[[], Parse]] = {
        Text: lambda: words(kind.most, lines=kind.lines),
        Whole: lambda: whole(kind.low, kind.high, unit=unit),
        Number: lambda: number(kind.low, kind.high, unit=unit),
        PerCent: lambda: per_cent_as_basis_points,
        YesNo: lambda: yes_no,
        Choice: lambda: one_of(*kind.words),
        Zone: lambda: zone,
        Currency: lambda: currency,
    }
    return by_kind[type(kind)]()
