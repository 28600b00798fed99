"""Rows of a usage report, one class a table.

Names end in their unit: ``_min`` minutes, ``_m`` metres, ``_minor`` integer minor units of the report's
currency, ``_pct`` per cent, ``_at`` a local time of the event's zone without an offset. Minutes are counted by
whoever fills the row, from moments in UTC: the difference of two local times is wrong across a clock change.
None stands for "not known" or "does not apply", never for zero.
"""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Literal

from exports.units import Tension

Part = Literal["mains", "crosses"]
Measure = Literal["count", "m", "min", "minor", "pct"]
Better = Literal["more", "fewer", "neither"]


@dataclass(frozen=True, kw_only=True)
class Correction:
    """A noted change to a day that was closed."""

    made_at: Annotated[datetime, "when it was noted"]
    made_by: Annotated[str, "who noted it"]
    subject: Annotated[str, "what was corrected, such as a tag or a reel"]
    before: Annotated[str, "as it stood when the day closed"]
    after: Annotated[str, "as it stands now"]
    reason: Annotated[str, "why"]


@dataclass(frozen=True, kw_only=True)
class HourRow:
    """What went through the desk within one hour of one day."""

    from_at: Annotated[datetime, "start of the hour; stands twice where the clock goes back"]
    utc_offset_min: Annotated[int, "offset of that hour from UTC: tells the two apart"]
    dropped_off: Annotated[int, "racquets dropped off"]
    strung: Annotated[int, "racquets finished"]
    handed_over: Annotated[int, "racquets handed over"]
    on_court: Annotated[int, "of those strung, sent from a match in play"]


@dataclass(frozen=True, kw_only=True)
class DayRow:
    """One day of the event."""

    day: Annotated[date, "the day in the event's zone"]
    racquets: Annotated[int, "racquets strung"]
    players: Annotated[int, "players served"]
    with_needed_by: Annotated[int, "racquets strung that had a needed-by time"]
    on_time: Annotated[int, "of those, ready by then"]
    promises_made: Annotated[int, "promises made for racquets strung"]
    promises_kept: Annotated[int, "of those, ready as promised"]
    on_court: Annotated[int, "racquets from a match in play"]
    on_court_mean_min: Annotated[float | None, "their mean time from drop-off to ready"]
    string_m: Annotated[float, "string in the racquets"]
    redo: Annotated[int, "racquets strung again because of the desk"]
    closed: Annotated[bool, "whether the day is closed"] = False


@dataclass(frozen=True, kw_only=True)
class StringerRow:
    """What one stringer did."""

    stringer: Annotated[str, "name"]
    racquets: Annotated[int, "racquets strung"]
    players: Annotated[int, "players served"]
    on_court: Annotated[int, "racquets from a match in play"]
    at_work_min: Annotated[float | None, "time on shift, breaks left out"]
    busy_min: Annotated[float, "time with a racquet on the machine"]
    bench_mean_min: Annotated[float | None, "mean time on the bench"]
    within_target: Annotated[int, "racquets within the time target"]
    with_needed_by: Annotated[int, "racquets that had a needed-by time"]
    on_time: Annotated[int, "of those, ready by then"]
    redo: Annotated[int, "racquets strung again because of the desk"]
    string_m: Annotated[float, "string in the racquets"]


@dataclass(frozen=True, kw_only=True)
class MachineRow:
    """What was strung on one machine."""

    machine: Annotated[str, "name"]
    racquets: Annotated[int, "racquets strung"]
    on_court: Annotated[int, "racquets from a match in play"]
    busy_min: Annotated[float, "time with a racquet on it"]
    bench_mean_min: Annotated[float | None, "mean time on the bench"]
    out_of_service_min: Annotated[float, "time out of service while the desk was open"]
    stringers: Annotated[int, "stringers who worked on it"]


@dataclass(frozen=True, kw_only=True)
class JobRow:
    """One racquet strung once, or meant to be."""

    tag: Annotated[str, "code tied to the racquet"]
    player: Annotated[str, "name"]
    racquet: Annotated[str, "which of the player's racquets, such as its number"]
    state: Annotated[str, "state of the job, in words"]
    on_court: Annotated[bool, "sent from a match in play"]
    dropped_off_at: Annotated[datetime, "taken in"]
    needed_by_at: Annotated[datetime | None, "when the player must have it"] = None
    promised_at: Annotated[datetime | None, "ready time told to the player"] = None
    started_at: Annotated[datetime | None, "put on the machine"] = None
    ready_at: Annotated[datetime | None, "strung and checked"] = None
    handed_over_at: Annotated[datetime | None, "handed over"] = None
    bench_min: Annotated[float | None, "time on the bench"] = None
    stringer: Annotated[str | None, "who strung it"] = None
    machine: Annotated[str | None, "where"] = None
    mains: Annotated[str, "string in the mains"] = ""
    mains_tension: Annotated[Tension | None, "tension of the mains"] = None
    crosses: Annotated[str, "string in the crosses"] = ""
    crosses_tension: Annotated[Tension | None, "tension of the crosses"] = None
    knots: Annotated[int | None, "2 one-piece, 4 two-piece"] = None
    mains_pre_stretch_pct: Annotated[float | None, "pre-stretch of the mains"] = None
    crosses_pre_stretch_pct: Annotated[float | None, "pre-stretch of the crosses"] = None
    string_m: Annotated[float | None, "string in the racquet"] = None
    charge_minor: Annotated[int | None, "charged for it"] = None
    redo_of: Annotated[str | None, "tag of the job that this one does again"] = None
    note: Annotated[str, "anything else"] = ""


@dataclass(frozen=True, kw_only=True)
class NeededByRow:
    """When a racquet was needed, and when it was ready."""

    tag: Annotated[str, "code tied to the racquet"]
    player: Annotated[str, "name"]
    needed_for: Annotated[str, "the match, or who asked for the time"]
    needed_by_at: Annotated[datetime, "when the player must have it"]
    promised_at: Annotated[datetime | None, "ready time told to the player"]
    ready_at: Annotated[datetime | None, "strung and checked; None while it is open"]
    spare_min: Annotated[float | None, "minutes from ready to needed by; below zero is late"]
    promise_spare_min: Annotated[float | None, "minutes from ready to promised; below zero is late"]


@dataclass(frozen=True, kw_only=True)
class BenchTimeRow:
    """How long a racquet took against the time target."""

    tag: Annotated[str, "code tied to the racquet"]
    player: Annotated[str, "name"]
    stringer: Annotated[str, "who strung it"]
    machine: Annotated[str, "where"]
    work: Annotated[str, "what makes it longer or shorter, such as the pattern"]
    started_at: Annotated[datetime, "put on the machine"]
    bench_min: Annotated[float, "time on the bench"]
    target_min: Annotated[float, "time target"]


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
class OrderRow:
    """What to order of one string."""

    string: Annotated[str, "name and gauge"]
    on_hand_m: Annotated[float, "left on the desk's own reels and sets"]
    use_per_day_m: Annotated[float, "mean use a day so far"]
    expected_need_m: Annotated[float, "expected use to the end of the event"]
    reel_length_m: Annotated[float, "length of one reel or set as sold"]
    order_reels: Annotated[int, "reels or sets to order"]
    runs_out_on: Annotated[date | None, "day on which it runs out at this pace"]
    note: Annotated[str, "anything else"] = ""


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
class ChargeRow:
    """What one player is charged."""

    player: Annotated[str, "name"]
    racquets: Annotated[int, "racquets charged"]
    currency: Annotated[str, "ISO 4217 code; the same in every row"]
    labour_minor: Annotated[int, "stringing"]
    string_minor: Annotated[int, "the desk's string"]
    other_minor: Annotated[int, "grommets, grips, on-court surcharge and the like"]
    paid_minor: Annotated[int, "paid so far"]
    note: Annotated[str, "who settles, receipt and the like"] = ""

    @property
    def total_minor(self) -> int:
        """Labour, string and other together."""
        return self.labour_minor + self.string_minor + self.other_minor


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


@dataclass(frozen=True, kw_only=True)
class CarriedOverRow:
    """A job that is open when the report ends."""

    tag: Annotated[str, "code tied to the racquet"]
    player: Annotated[str, "name"]
    racquet: Annotated[str, "which of the player's racquets"]
    state: Annotated[str, "state of the job, in words"]
    dropped_off_at: Annotated[datetime, "taken in"]
    needed_by_at: Annotated[datetime | None, "when the player must have it"]
    promised_at: Annotated[datetime | None, "ready time told to the player"]
    reason: Annotated[str, "why it is open"] = ""


@dataclass(frozen=True, kw_only=True)
class UncollectedRow:
    """A racquet that is strung and still at the desk."""

    tag: Annotated[str, "code tied to the racquet"]
    player: Annotated[str, "name"]
    racquet: Annotated[str, "which of the player's racquets"]
    ready_at: Annotated[datetime, "strung and checked"]
    waiting_min: Annotated[float, "from ready to the end of the report"]
    note: Annotated[str, "what was agreed with the player"] = ""


@dataclass(frozen=True, kw_only=True)
class CrossCheckRow:
    """One total, counted twice from independent sources."""

    figure: Annotated[str, "what is counted"]
    measure: Annotated[Measure, "unit of the two counts"]
    first_source: Annotated[str, "where the first count comes from"]
    first: Annotated[float, "first count"]
    second_source: Annotated[str, "where the second count comes from"]
    second: Annotated[float, "second count"]
    tolerance: Annotated[float, "difference that is only rounding"] = 0.0

    @property
    def differs(self) -> bool:
        """Whether the two counts are further apart than rounding explains."""
        return abs(self.first - self.second) > self.tolerance


@dataclass(frozen=True, kw_only=True)
class ComparisonRow:
    """One figure beside the same figure before."""

    figure: Annotated[str, "what is compared"]
    measure: Annotated[Measure, "unit of the two values"]
    better: Annotated[Better, "whether more of it is better, fewer, or neither"]
    now: Annotated[float | None, "in this report"]
    before: Annotated[float | None, "before"]
