"""House minutes: how long a job takes on the bench, from its card, and what finished jobs teach about it.

Defaults (common practice unless named): 20 minutes for an open pattern (three an hour at a major; a stringers'
certification allows 60 minutes for three); a dense one a quarter longer (the same certification allows 75); natural
gut up to 30; a set of grommets and work on the size of a grip 20 each (the same), an overgrip 4 (3 to 5). One piece
or two makes no clear difference. On court 15 on the machine. Pre-stretch and stencil, 2 each, are from memory.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields
from functools import cache, cached_property
from typing import Literal

from desk.trade.errors import TradeError
from desk.trade.racquet.bed import Bed
from desk.trade.racquet.string_length import Pattern
from desk.trade.racquet.value_kinds import HOUSE_MINUTES

Material = Literal["polyester", "multifilament", "monofilament", "natural gut", "aramid", "other"]

OPEN, DENSE = Pattern(16, 19), Pattern(18, 20)
OPEN_STRINGS, DENSE_STRINGS = sum(OPEN), sum(DENSE)
POLYESTER: Bed[Material] = Bed("polyester", "polyester")

PRIOR_JOBS = 5
"""Jobs at the default that stand beside the timed ones."""


@dataclass(frozen=True, kw_only=True)
class BenchCard:
    """What of a job card makes it quick or slow."""

    pattern: Pattern = OPEN
    materials: Bed[Material] = POLYESTER
    pieces: int = 2
    prestretch: bool = False
    stencil: bool = False
    grommets: bool = False
    grip: bool = False
    overgrip: bool = False
    on_court: bool = False

    def __hash__(self) -> int:
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash(tuple(getattr(self, one.name) for one in fields(self)))

    @cached_property
    def gut_share(self) -> float:
        """0, 0.5 or 1 of the bed in natural gut."""
        return list(self.materials).count("natural gut") / 2

    @cached_property
    def key(self) -> str:
        """The row of the table of house minutes that this card belongs to."""
        strings = sum(self.pattern)
        pattern = "open" if strings <= OPEN_STRINGS else "dense" if strings >= DENSE_STRINGS else "medium"
        gut = {0: "", 0.5: ", half gut", 1: ", gut"}[self.gut_share]
        return f"{pattern}{gut}{', on court' if self.on_court else ''}"


@dataclass(frozen=True, kw_only=True)
class BenchDefaults:
    """Minutes at pace 100, and the factor of a dense pattern."""

    open_min: float = 20.0
    dense_factor: float = 1.25
    gut_min: float = 30.0
    on_court_factor: float = 0.75
    prestretch_min: float = 2.0
    stencil_min: float = 2.0
    grommets_min: float = 20.0
    grip_min: float = 20.0
    overgrip_min: float = 4.0

    def strung_min(self, card: BenchCard) -> float:
        """Stringing alone, by pattern and material."""
        denser = (sum(card.pattern) - OPEN_STRINGS) / (DENSE_STRINGS - OPEN_STRINGS)
        minutes = self.open_min * (1 + (self.dense_factor - 1) * min(1.5, max(-0.5, denser)))
        if card.gut_share:
            minutes += card.gut_share * max(0.0, self.gut_min - minutes)
        return minutes * (self.on_court_factor if card.on_court else 1.0)

    def extra_min(self, card: BenchCard) -> float:
        """Work beside the stringing."""
        return (
            card.prestretch * self.prestretch_min
            + card.stencil * self.stencil_min
            + card.grommets * self.grommets_min
            + card.grip * self.grip_min
            + card.overgrip * self.overgrip_min
        )


@dataclass(frozen=True)
class FinishedJob:
    """A job done: its card, who did it, the minutes from start to finish without interruptions."""

    card: BenchCard
    stringer: str
    minutes: float


@dataclass(frozen=True)
class HouseRow:
    """One row of the table: factor on the default, number of jobs, and the desk's own minutes if it overrules."""

    factor: float = 1.0
    n: int = 0
    overruled_min: float | None = None


@dataclass(frozen=True)
class HouseTable:
    """House minutes by row, learned or overruled; rows without jobs stand at their default."""

    defaults: BenchDefaults = BenchDefaults()
    rows: Mapping[str, HouseRow] = field(default_factory=dict)

    def minutes(self, card: BenchCard) -> int:
        """Whole house minutes of a job, extra work in, 1 at the least."""
        row = self.rows.get(card.key, HouseRow())
        strung = row.factor * self.defaults.strung_min(card) if row.overruled_min is None else row.overruled_min
        return max(1, round(strung + self.defaults.extra_min(card)))

    def overruled(self, key: str, minutes: float | None) -> "HouseTable":
        """The table with the desk's own minutes for one row; None returns to what was learned."""
        if minutes is not None and HOUSE_MINUTES.fault(minutes):
            raise TradeError(f"{minutes} minutes", f"House minutes, {key}", "Give 5 to 120.")
        row = self.rows.get(key, HouseRow())
        return HouseTable(self.defaults, {**self.rows, key: HouseRow(row.factor, row.n, minutes)})


def learned_table(
    jobs: Iterable[FinishedJob], table: HouseTable | None = None, paces: Mapping[str, int] | None = None
) -> HouseTable:
    """The table from finished jobs, each reckoned at pace 100, shrunk towards the defaults; overrules stand."""
    table = table or HouseTable()
    ratios: dict[str, list[float]] = {}

    @cache
    def facts(card: BenchCard) -> tuple[list[float], float, float]:
        seen = ratios.setdefault(card.key, [])
        return seen, table.defaults.extra_min(card), table.defaults.strung_min(card)

    for job in jobs:
        seen, extra_min, strung_min = facts(job.card)
        strung = job.minutes * 100 / (paces or {}).get(job.stringer, 100) - extra_min
        seen.append(clipped(strung / strung_min))
    rows = {key: HouseRow(1.0, 0, row.overruled_min) for key, row in table.rows.items()}
    for key, seen in ratios.items():
        factor = (PRIOR_JOBS + sum(seen)) / (PRIOR_JOBS + len(seen))
        rows[key] = HouseRow(factor, len(seen), rows.get(key, HouseRow()).overruled_min)
    return HouseTable(table.defaults, rows)


def clipped(ratio: float) -> float:
    """A ratio, or None for a job that was left running over lunch or never started."""
    return min(2.0, max(0.5, ratio))
