"""The list of an event's settings: what each is for and how it is checked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from desk.trade.errors import MoneyError, TimeError
from desk.trade.event_time import EventClock
from desk.trade.money import check_currency
from desk.trade.names import BOARD_NAMES

Check = Callable[[Any], str]
"""Returns what is wrong with a value, or nothing."""


def _text(longest: int, *, required: bool = False) -> Check:
    def check(value: Any) -> str:
        if required and not value.strip():
            return "say something"
        return "" if len(value) <= longest else f"at most {longest} letters"

    return check


def _within(low: float, high: float, unit: str) -> Check:
    def check(value: Any) -> str:
        return "" if low <= value <= high else f"{unit} from {low:g} to {high:g}"

    return check


def _whole(low: int, high: int, unit: str) -> Check:
    def check(value: Any) -> str:
        return "" if isinstance(value, int) and low <= value <= high else f"whole {unit} from {low} to {high}"

    return check


def _hundredths_of_per_cent(value: Any) -> str:
    return "" if isinstance(value, int) and 0 <= value <= 10_000 else "per cent from 0 to 100, such as 8.1"


def _one_of(*allowed: str) -> Check:
    def check(value: Any) -> str:
        return "" if value in allowed else "choose one of: " + ", ".join(allowed)

    return check


def _zone(value: Any) -> str:
    try:
        EventClock(value, date(2000, 1, 1))
    except TimeError as error:
        return error.to_do
    return ""


def _currency(value: Any) -> str:
    try:
        check_currency(value)
    except MoneyError as error:
        return error.to_do
    return ""


def _yes_no(value: Any) -> str:
    return "" if isinstance(value, bool) else "say yes or no"


@dataclass(frozen=True, kw_only=True)
class EventSetting:
    """One setting: the column, what it says, how it is checked, and whether the plan follows it."""

    name: str
    help: str
    check: Check
    plan: bool = True


EVENT_SETTINGS = (
    EventSetting(name="name", help="Name of the event", check=_text(200, required=True), plan=False),
    EventSetting(name="town", help="Town", check=_text(200), plan=False),
    EventSetting(name="desk_place", help="Where players find the desk", check=_text(200), plan=False),
    EventSetting(name="time_zone", help="Time zone of every time shown, such as Europe/Lisbon", check=_zone),
    EventSetting(name="currency", help="Currency of every amount, such as EUR", check=_currency, plan=False),
    EventSetting(
        name="tax_basis_points",
        help="Tax within the prices, per cent",
        check=_hundredths_of_per_cent,
        plan=False,
    ),
    EventSetting(name="target_minutes", help="Time target for a job", check=_whole(5, 240, "minutes")),
    EventSetting(
        name="lead_minutes", help="Minutes before play that a racquet is needed", check=_whole(0, 600, "minutes")
    ),
    EventSetting(
        name="on_court_minutes",
        help="Minutes from drop-off until a racquet from a match in play is needed",
        check=_whole(1, 240, "minutes"),
    ),
    EventSetting(
        name="rest_minutes", help="Least minutes between two matches of a player", check=_whole(0, 1440, "minutes")
    ),
    EventSetting(
        name="between_least_minutes",
        help="Minutes between two matches on a court, at the least (19 of 20 take longer)",
        check=_whole(0, 120, "minutes"),
    ),
    EventSetting(
        name="between_median_minutes",
        help="Minutes between two matches on a court, as a rule (half take longer)",
        check=_whole(0, 240, "minutes"),
    ),
    EventSetting(
        name="match_length_per_cent",
        help="Length of matches before any is played, per cent of the usual (grass 96, clay 103)",
        check=_whole(50, 150, "per cent"),
    ),
    EventSetting(
        name="early_call_per_cent",
        help="How often, per cent, a match may be called before its needed-by time",
        check=_whole(1, 50, "per cent"),
    ),
    EventSetting(
        name="promise_per_cent",
        help="How many promises in a hundred are to be kept",
        check=_whole(50, 99, "per cent"),
    ),
    EventSetting(
        name="stiffness_tolerance",
        help="How far sister racquets may differ in stiffness, units of the desk's meter",
        check=_within(0.1, 20, "units"),
        plan=False,
    ),
    EventSetting(
        name="calibration_tolerance_lb",
        help="How far a machine may read from its reference, pounds",
        check=_within(0.1, 5, "pounds"),
    ),
    EventSetting(
        name="calibration_required",
        help="A machine strings only after today's calibration",
        check=_yes_no,
    ),
    EventSetting(name="board_names", help="Names on the board", check=_one_of(*BOARD_NAMES), plan=False),
)

SETTING_BY_NAME = {setting.name: setting for setting in EVENT_SETTINGS}
