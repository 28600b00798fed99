"""What the desk may suggest: when to restring, and what to ask for when a player does not know.

Rules of thumb of the trade (common practice), always shown with their reason and never filled in silently. Arm
pain is for a clinician and changes nothing here.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Literal

from desk.trade.bench.bench_time import Material
from desk.trade.errors import TradeError
from desk.trade.racquet.bed import Bed
from desk.trade.racquet.units import STEP, Tension

Urgency = Literal["not yet", "worth it", "due"]

BEST_AFTER_H = 8.0
LEAST_AFTER_H = 16.0
"""At 8 h of play a week: weekly at best, fortnightly at least."""
POLYESTER_HOLDS_H = 10.0
"""Polyester holds its tension for 1 to 10 h of play by quality, then goes slack or notches."""
STALE_DAYS = 2 * 365
"""A bed of several years needs new string whatever its state; from two years on (our reading)."""


@dataclass(frozen=True)
class RestringAdvice:
    """How soon to restring, and why."""

    urgency: Urgency
    reason: str


def restring_advice(hours_played: float, days_strung: int, mains: Material) -> RestringAdvice:
    """Whether a bed of `hours_played` hours and `days_strung` days is due for new string."""
    if hours_played < 0 or days_strung < 0:
        raise TradeError("Hours or days below 0", "Restring", "Correct the hours played or the day it was strung.")
    if days_strung >= STALE_DAYS:
        return RestringAdvice("due", "The bed is years old: it needs new string whatever it looks like.")
    if hours_played >= LEAST_AFTER_H:
        return RestringAdvice("due", f"{hours_played:g} h of play: a fortnight's worth at 8 h a week, the least often.")
    if mains == "polyester" and hours_played >= POLYESTER_HOLDS_H:
        return RestringAdvice("due", f"{hours_played:g} h of play: polyester holds its tension for 1 to 10 h.")
    if hours_played >= BEST_AFTER_H:
        return RestringAdvice("worth it", f"{hours_played:g} h of play: at 8 h a week, weekly is best.")
    return RestringAdvice("not yet", f"{hours_played:g} h of play, strung {days_strung} days ago.")


def how_often(hours_a_week: float | None) -> str:
    """How often to restring by the trade's rules of thumb (common practice), for a player's own hours where known."""
    rule = "At the least as many times a year as one plays a week; at 8 h a week weekly at best, fortnightly at least."
    if not hours_a_week or hours_a_week == BEST_AFTER_H:
        return rule
    best, least = (round(7 * hours / hours_a_week) for hours in (BEST_AFTER_H, LEAST_AFTER_H))
    span = f"{max(best, 1)} to {least} days" if least < 14 else f"{max(round(best / 7), 1)} to {round(least / 7)} weeks"
    return f"{rule} At {hours_a_week:g} h a week the same hours of play make that every {span}."


@dataclass(frozen=True, kw_only=True)
class KnownOfPlayer:
    """What the desk knows of a player who does not know what to ask for; None is not known."""

    frame_low: Tension | None = None
    frame_high: Tension | None = None
    last_mains: Tension | None = None
    last_string: str | None = None
    full_swing: bool | None = None
    breaks_soon: bool | None = None


@dataclass(frozen=True)
class Proposal:
    """A tension and materials to offer, each with its reason; None where nothing is known to go by."""

    tension: Tension | None
    materials: Bed[Material] | None
    reasons: tuple[str, ...]


def propose(known: KnownOfPlayer) -> Proposal:
    """A proposal by the trade's rules of thumb."""
    tension, why_tension = _tension(known)
    materials, why_string = _materials(known)
    return Proposal(tension, materials, tuple(why for why in (why_tension, why_string) if why))


def middle_of_range(low: Tension, high: Tension) -> Tension:
    """The middle of a frame's printed range, to the nearest half of its unit: 50-57 lb gives 53.5 lb."""
    if low.unit != high.unit or low.value > high.value:
        raise TradeError(
            f"{low.display()} to {high.display()}", "Frame's range", "Give low and high in one unit, low first."
        )
    halves = ((low.value + high.value) / 2 / STEP).quantize(Decimal(1), ROUND_HALF_EVEN)
    return Tension(halves * STEP, low.unit)


def _tension(known: KnownOfPlayer) -> tuple[Tension | None, str]:
    if known.last_mains is not None:
        return known.last_mains, "The same again needs the least adjusting."
    if known.frame_low is not None and known.frame_high is not None:
        middle = middle_of_range(known.frame_low, known.frame_high)
        return middle, (
            f"The middle of the range printed on the frame, {known.frame_low.display()} to "
            f"{known.frame_high.display()}; any value in it works, keeping to one matters more."
        )
    return None, "Read the range printed on the frame: its middle is a good start."


def _materials(known: KnownOfPlayer) -> tuple[Bed[Material] | None, str]:
    if known.last_string:
        return None, f"The same string again, {known.last_string}, costs a player least to adjust."
    if known.breaks_soon:
        return Bed("polyester", "multifilament"), "It breaks too soon: polyester in the mains, nylon in the crosses."
    if known.full_swing is False:
        return Bed("multifilament", "multifilament"), "Nylon multifilament is softer, for a swing not yet full."
    if known.full_swing:
        why = "A full swing gets the extra spin of polyester; it goes slack after 1 to 10 h."
        return Bed("polyester", "polyester"), why
    return None, ""
