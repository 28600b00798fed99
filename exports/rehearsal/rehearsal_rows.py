"""The rows of a rehearsal; a `Spread` is a mean and the band in which nine events of ten lie."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from datetime import datetime
from typing import Any


@dataclass(frozen=True, kw_only=True)
class Spread:
    """A mean with the ends of its 90 per cent band."""

    mean: float
    low: float
    high: float


@dataclass(frozen=True, kw_only=True)
class RehearsedTeamRow:
    """One team: shares in per cent, waits in minutes; `pad_min` None: no pad that was tried is enough."""

    team: str
    stringers: int
    machines: int
    shift_hours: float
    racquets: Spread
    late_pct: Spread
    hit_pct: Spread
    on_court_late_pct: Spread
    pad_min: int | None
    longest_wait_min: Spread
    good_days_pct: float
    keeps_goal: bool


@dataclass(frozen=True, kw_only=True)
class RehearsedPromiseRow:
    """Promises kept by a team when so many minutes are added to the end that the plan foresees."""

    team: str
    pad_min: int
    kept_pct: Spread


@dataclass(frozen=True, kw_only=True)
class RehearsedHourRow:
    """One hour of one day with one team: hands on shift, bench hours that come, racquets that wait at its end."""

    team: str
    day: str
    hour: str
    hands: float
    came: Spread
    work_h: Spread
    waiting: Spread
    longest_wait_min: Spread


@dataclass(frozen=True, kw_only=True)
class RehearsedStringerRow:
    """Hours strung by one stringer on a day at work, beside the hours on shift."""

    team: str
    stringer: str
    strung_h: Spread
    on_shift_h: float


@dataclass(frozen=True, kw_only=True)
class RehearsedStringRow:
    """Metres of one string over the event; `order` counts pieces of `piece_m` metres, None where players bring it.

    `pieces` counts those that the far end of the band takes without what is in stock.
    """

    string: str
    whose: str
    metres: Spread
    in_stock_m: float
    piece: str
    piece_m: float
    order: int | None
    gauge_mm: float | None = None
    material: str = ""
    pieces: int = 0


@dataclass(frozen=True, kw_only=True)
class RehearsalReport:
    """Everything that a rehearsal says, with what it was told."""

    event_name: str
    made_at: datetime
    replications: int
    goal: str
    least_team: str
    assumptions: tuple[str, ...]
    teams: tuple[RehearsedTeamRow, ...]
    promises: tuple[RehearsedPromiseRow, ...]
    hours: tuple[RehearsedHourRow, ...]
    stringers: tuple[RehearsedStringerRow, ...]
    strings: tuple[RehearsedStringRow, ...]


_ROWS = {
    "teams": RehearsedTeamRow,
    "promises": RehearsedPromiseRow,
    "hours": RehearsedHourRow,
    "stringers": RehearsedStringerRow,
    "strings": RehearsedStringRow,
}


def as_plain(report: RehearsalReport) -> dict[str, Any]:
    """Return the report field by field, as JSON holds it."""
    return {**asdict(report), "made_at": report.made_at.isoformat(timespec="seconds")}


def from_plain(content: Mapping[str, Any]) -> RehearsalReport:
    """Return the report that `as_plain` was given; fields that are not known any more are left out."""
    known = {field.name: content[field.name] for field in fields(RehearsalReport)}
    for name, row_class in _ROWS.items():
        known[name] = tuple(_row(row_class, row) for row in content[name])
    known["assumptions"] = tuple(content["assumptions"])
    return RehearsalReport(**known | {"made_at": datetime.fromisoformat(content["made_at"])})


def _row(row_class: type, content: Mapping[str, Any]) -> Any:
    names = {field.name for field in fields(row_class)}
    values = {name: Spread(**value) if isinstance(value, dict) else value for name, value in content.items()}
    return row_class(**{name: value for name, value in values.items() if name in names})
