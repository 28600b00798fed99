"""Rows of string, tensions and machines."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Literal

from exports.units import Tension

Part = Literal["mains", "crosses"]


@dataclass(frozen=True, kw_only=True)
class ReelRow:
    """What went from one reel, or from the sets of one string."""

    reel: Annotated[str, "label"]
    string: Annotated[str, "name and gauge"]
    owner: Annotated[str, "the desk, or the player whose string it is"]
    opening_m: Annotated[float, "on it when the report begins, or when it was opened"]
    used_m: Annotated[float, "in racquets"]
    waste_m: Annotated[float, "cut off or spoiled"]
    closing_m: Annotated[float, "on it when the report ends"]
    measured: Annotated[bool, "closing was measured; otherwise it is opening less used and waste"]
    racquets: Annotated[int, "racquets strung from it"]


@dataclass(frozen=True, kw_only=True)
class StringRow:
    """What went and what is left of one string as it is bought: metres of reels, and sets with their halves."""

    string: Annotated[str, "name and gauge"]
    owner: Annotated[Literal["desk", "players"], "whose string it is"]
    racquets: Annotated[int, "racquets with it; a hybrid counts at both its strings"]
    reel_m: Annotated[float, "metres in racquets off reels"]
    sets: Annotated[
        float, "sets in racquets; a half of a bed is half a set. What players bring with the racquet is one"
    ]
    reels_opened: Annotated[int, "reels from which the first string went"]
    sets_opened: Annotated[int, "sets from which the first string went"]
    waste_m: Annotated[float, "metres cut off or spoiled, of reels and sets"]
    left_m: Annotated[float, "metres left on reels when the report ends"]
    left_sets: Annotated[float, "sets left when the report ends, halves as halves"]
    currency: Annotated[str, "ISO 4217 code; the same in every row"]
    opened_minor: Annotated[int | None, "what the reels and sets opened cost; None where the price of one is not known"]
    used_minor: Annotated[int | None, "what the string in racquets cost, by the metre; None likewise"]
    waste_minor: Annotated[int | None, "what the waste cost; None likewise"]
    left_minor: Annotated[int | None, "what is left cost; None likewise"]
    without_price: Annotated[str, "which reels or sets nobody gave a price, or that it is players' own string"] = ""


@dataclass(frozen=True, kw_only=True)
class PatternRow:
    """Metres a racquet of one pattern; hybrids left out."""

    pattern: Annotated[str, "mains by crosses"]
    racquets: Annotated[int, "racquets with one string in both halves"]
    mean_m: Annotated[float, "mean metres a racquet"]
    least_m: Annotated[float, "fewest metres"]
    most_m: Annotated[float, "most metres"]


@dataclass(frozen=True, kw_only=True)
class OrderRow:
    """What to order of one string."""

    string: Annotated[str, "name and gauge"]
    on_hand_m: Annotated[float, "left on the desk's own reels and sets"]
    use_per_day_m: Annotated[float, "mean use a day so far"]
    expected_need_m: Annotated[float, "expected use to the end of the event"]
    reel_length_m: Annotated[float, "length of one reel, set or half set as sold"]
    order_reels: Annotated[int, "reels, sets or half sets to order"]
    runs_out_on: Annotated[date | None, "day on which it runs out at this pace"]
    note: Annotated[str, "anything else"] = ""
    piece: Annotated[str, "reel, set or half set"] = "reel"


@dataclass(frozen=True, kw_only=True)
class TensionRow:
    """Lowest, mean and highest tension of a group of racquets."""

    group: Annotated[str, "which racquets, such as all or hybrids"]
    part: Annotated[Part, "mains or crosses"]
    racquets: Annotated[int, "how many"]
    lowest: Annotated[Tension, "as spoken"]
    mean: Annotated[Tension, "mean, each tension brought to one unit"]
    highest: Annotated[Tension, "as spoken"]


@dataclass(frozen=True, kw_only=True)
class MaterialRow:
    """How many racquets had one material, or one pair of materials."""

    mains: Annotated[str, "material of the mains"]
    crosses: Annotated[str, "material of the crosses"]
    hybrid: Annotated[bool, "two different strings"]
    racquets: Annotated[int, "how many"]
    players: Annotated[int, "of how many players"]
    string_m: Annotated[float, "string in the racquets"]


@dataclass(frozen=True, kw_only=True)
class CalibrationRow:
    """One reading of one machine."""

    machine: Annotated[str, "name"]
    read_at: Annotated[datetime, "when"]
    read_by: Annotated[str, "who"]
    asked: Annotated[Tension, "tension the machine was set to"]
    measured: Annotated[Tension, "tension it gave"]
    tolerance: Annotated[Tension, "difference allowed either way"]
    within: Annotated[bool, "within the tolerance"]
    action: Annotated[str, "what was done"] = ""
