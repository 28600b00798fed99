"""What the board of a plan shows: a row a stringer, a block a racquet, what waits, what is wrong."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from desk.trade.event.event_time import EventClock
from desk.trade.play.needed_by import A_LITTLE_MIN, late_from

BEING_PLANNED = "Being planned."
"""Said of a racquet that came after the plan was made."""


@dataclass(frozen=True, kw_only=True)
class Block:
    """A racquet's place in the plan; minutes late count past the latest, broken past the promise.

    `kept` is the place that a hand gave it at its bench: "2nd, after 39RW".
    `standing` is late, tight, reading (it waits for the first reading of a machine today), still (it was begun, and
    its stringer is away or its machine out) or nothing. `mark` is what the desk must see: "late 12 min", "promise
    broken by 31 min", "2 min after the promise", "tight", "waits for a reading", "nobody works on it", or nothing.
    While it waits for a reading or stands still no minutes are counted.
    """

    job_id: int
    code: str
    player: str
    racquet_number: int
    state: str
    on_court: bool
    matters: str
    pinned: bool
    kept: str
    machine_id: int
    machine: str
    away: bool
    start_at: datetime
    end_at: datetime
    needed_by_at: datetime | None
    latest_at: datetime | None
    promised_at: datetime | None
    late_min: int
    broken_min: int
    standing: str
    mark: str

    @property
    def too_late_at(self) -> datetime | None:
        """From when on it is late: what `late_min` counts from."""
        return late_from(self.needed_by_at, self.latest_at)

    @property
    def is_in_trouble(self) -> bool:
        """Whether the lead must look: late, or a promise broken by more than a little."""
        return self.late_min > 0 or self.broken_min >= A_LITTLE_MIN


@dataclass(frozen=True, kw_only=True)
class Gap:
    """Hours that a stringer or a machine misses, as counted with; None: nobody knows until when.

    `expected_at` is when it was to be back, where that has passed and nobody has said so.
    """

    from_at: datetime
    to_at: datetime | None
    expected_at: datetime | None = None

    def holds(self, at: datetime) -> bool:
        return self.from_at <= at and (self.to_at is None or at < self.to_at)


@dataclass(frozen=True, kw_only=True)
class BenchRow:
    """One stringer's day: shifts (work), absences, outages of the home machine, and the blocks in order.

    `machine_id` is the home machine, where it may be strung at now.
    """

    stringer_id: int
    name: str
    home_machine: str
    machine_id: int | None
    shifts: tuple[tuple[datetime, datetime], ...]
    absences: tuple[Gap, ...]
    machine_out: tuple[Gap, ...]
    blocks: tuple[Block, ...]


@dataclass(frozen=True, kw_only=True)
class Beside:
    """A job that has no place in the plan: held with its reason, or unplaced with the plan's."""

    job_id: int
    code: str
    player: str
    racquet_number: int
    state: str
    on_court: bool
    needed_by_at: datetime | None
    promised_at: datetime | None
    reason: str


@dataclass(frozen=True, kw_only=True)
class WrongLine:
    """One job that is late, breaks its promise or has no place (`end_at` None), with the reason in a sentence."""

    job_id: int
    code: str
    player: str
    sentence: str
    reason: str
    end_at: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class PlanBoard:
    """The whole board; `made_at` is None before the first plan, `is_current` False while a new one is made.

    `is_quick` says that quick rules made the plan, since the planner is only getting ready.
    """

    at: datetime
    zone_clock: EventClock
    made_at: datetime | None
    is_current: bool
    is_quick: bool
    total: int
    bound: int
    rows: tuple[BenchRow, ...]
    beside: tuple[Beside, ...]
    wrong: tuple[WrongLine, ...]

    @property
    def unplaced(self) -> int:
        return sum(one.state == "waiting" and one.reason != BEING_PLANNED for one in self.beside)

    def count(self, standing: str) -> int:
        """Return how many racquets are planned so: late, tight, or reading."""
        return sum(block.standing == standing for row in self.rows for block in row.blocks)

    @property
    def broken(self) -> int:
        """How many racquets are neither late nor kept to their promise, a little missed not counted."""
        return sum(block.is_in_trouble and block.standing != "late" for row in self.rows for block in row.blocks)

    def clock(self, at: datetime | None) -> str:
        """Return a time as the event's wall clock shows it, with its day where that is another."""
        return "" if at is None else self.zone_clock.spoken(at, self.at)
