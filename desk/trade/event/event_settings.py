"""The settings of an event, each said once: its column's default, its field, its cell in a file and its check.

A new setting is an entry here, a column of `Event` (`setting("…")`) and a migration.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from desk.trade.event.names import BOARD_NAMES
from desk.trade.racquet.value_kinds import Choice, Currency, Kind, Number, PerCent, Text, Whole, YesNo, Zone

REQUIRED = object()
"""Stands for no default: a new event must say it."""


@dataclass(frozen=True)
class Setting:
    """One setting: the column of `Event`, what it says, its kind and default; an example where the default is none.

    `plan` tells whether the plan follows it; `in_file` is the name in event files where that is another one.
    """

    name: str
    help: str
    kind: Kind
    default: Any
    example: str = ""
    plan: bool = True
    in_file: str = ""


def _minutes(low: int, high: int) -> Whole:
    return Whole(low, high, "minutes")


def _per_cent(low: int, high: int) -> Whole:
    return Whole(low, high, "per cent")


TOURNAMENT, CLUB_WEEKEND = "tournament", "club_weekend"
KINDS = {TOURNAMENT: "tournament with matches", CLUB_WEEKEND: "club weekend without matches, for visitors"}
EVENT = (
    Setting("name", "Name of the event", Text(required=True), REQUIRED, "Harbour Week", plan=False),
    Setting("time_zone", "Time zone of every time shown", Zone(), REQUIRED, "Europe/Lisbon"),
    Setting("kind", "Kind of event", Choice(KINDS), TOURNAMENT, plan=False),
    Setting("town", "Town", Text(), "", "Port Almery", plan=False),
    Setting("desk_place", "Where players find the desk", Text(), "", "Hall 2, beside the practice courts", plan=False),
    Setting("board_names", "Names on the players' board", Choice(BOARD_NAMES), "full", plan=False),
    Setting("names_stringers", "A player's own page says who strings, by name", YesNo(), True, plan=False),
)

TAX = "Tax within the prices, per cent"
CSV_FORMS = {
    "comma": "commas, decimal point",
    "semicolon": "semicolons, decimal comma",
    "semicolon_point": "semicolons, decimal point",
}
CSV = "Tables as CSV: what stands between fields, and in decimals"
ISSUER = "Name, address and tax number on invoices"
MONEY = (
    Setting("currency", "Currency of every amount", Currency(), REQUIRED, "EUR", plan=False),
    Setting("tax_basis_points", TAX, PerCent(), 0, "19", plan=False, in_file="tax_per_cent"),
    Setting("issuer", ISSUER, Text(500, lines=True), "", "Harbour Week Ltd, Port Almery", plan=False),
    Setting("csv_form", CSV, Choice(CSV_FORMS), "comma", plan=False),
)

ON_COURT = "Minutes from drop-off until a racquet from a match in play is needed"
EARLY_CALL = "How often, per cent, a match may be called before its needed-by time"
FRESH = "Hours before it is needed that a racquet is strung at the earliest"
NEEDED = (
    Setting("lead_minutes", "Minutes before play that a racquet is needed", _minutes(0, 600), 30),
    Setting("walk_on_minutes", "Minutes before play from which a racquet is late", _minutes(0, 120), 10),
    Setting("on_court_minutes", ON_COURT, _minutes(1, 240), 15),
    Setting("early_call_per_cent", EARLY_CALL, _per_cent(1, 50), 5),
    Setting("fresh_hours", FRESH, Whole(1, 72, "hours"), 18),
)

BETWEEN = "Minutes between two matches on a court"
LENGTH = "Length of matches before any is played, per cent of the usual (grass 96, clay 103)"
PLAY = (
    Setting("rest_minutes", "Least minutes between two matches of one player", _minutes(0, 1440), 60),
    Setting("between_least_minutes", f"{BETWEEN}, at the least (19 of 20 take longer)", _minutes(0, 120), 15),
    Setting("between_median_minutes", f"{BETWEEN}, as a rule (half take longer)", _minutes(0, 240), 23),
    Setting("match_length_per_cent", LENGTH, _per_cent(50, 150), 100),
)

PROMISES = (
    Setting("promise_per_cent", "How many promises in a hundred are to be kept", _per_cent(50, 99), 90),
    Setting("tells_new_times", "A player is told a new ready time without a touch", YesNo(), False),
)

TELLS = "Whoever asks for it is told by phone or e-mail; if not, nobody is told anything"
BY_PAGE = "A player may enter an e-mail address on their own page"
WORD = (
    Setting("tells_anybody", TELLS, YesNo(), True, plan=False),
    Setting("mail_by_players", BY_PAGE, YesNo(), True, plan=False),
    Setting("word_from_hour", "Hour from which word goes out, such as 7", Whole(0, 12, "hours"), 7, plan=False),
    Setting("word_until_hour", "Hour until which word goes out", Whole(13, 24, "hours"), 22, plan=False),
)

STIFFNESS = "Units of stiffness within which sisters must be"
BENCHES = (
    Setting("target_minutes", "Time target for a job, minutes", _minutes(5, 240), 30),
    Setting("stiffness_tolerance", STIFFNESS, Number(0.1, 20, "units"), 1.0, plan=False),
    Setting("calibration_tolerance_lb", "Pounds within which a machine must pull", Number(0.1, 1, "pounds"), 0.5),
    Setting("calibration_required", "A machine needs a calibration before each day's work", YesNo(), True),
)

SETTING_GROUPS: dict[str, Sequence[Setting]] = {
    "The event": EVENT,
    "Money": MONEY,
    "When racquets are needed": NEEDED,
    "Play": PLAY,
    "Promises": PROMISES,
    "Word when a racquet is ready": WORD,
    "Benches": BENCHES,
}

SETTINGS = {setting.name: setting for group in SETTING_GROUPS.values() for setting in group}
