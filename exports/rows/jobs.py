"""Rows of single racquets: each job, against needed by, on the bench, left over."""

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Literal

from exports.units import Tension

NeededOutcome = Literal["on time", "tight", "late", "not strung", "open"]


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
    outcome: Annotated[NeededOutcome, "what came of it; open is needed later, or counted on the day it was needed"]
    match_begun: Annotated[bool | None, "of a late one: the match had begun when it was ready, or the report ends"]
    reason: Annotated[str, "why it was late or not strung"] = ""


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
