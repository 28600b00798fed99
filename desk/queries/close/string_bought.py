"""String as it is bought: metres off reels, sets and their halves, by string, the desk's own and players' apart."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from statistics import fmean

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Reel, ReelEntry
from desk.queries.close.facts import JobFact
from desk.queries.close.span import UsageSpan
from desk.queries.string.reel_costs import Bought, bought_reels, worth_of
from desk.queries.string.store import ReelRow as StoreRow
from desk.queries.string.store import reel_rows
from desk.trade.racquet.reel_choice import HALF_SET, LOOSE, OFFCUT_M, ROUNDING_M, SET, SETS
from exports.rows import PatternRow, StringRow

HALF = 0.5
NAMED = 3
"""Reels without a price that a row names before it says how many more there are."""


@dataclass
class _Halves:
    """Halves of beds cut from one reel or set: in the span, until its end; and when the first one was."""

    within: int = 0
    until: int = 0
    first_at: datetime | None = None

    def add(self, at: datetime, *, within: bool) -> None:
        self.within += within
        self.until += 1
        self.first_at = at if self.first_at is None else min(self.first_at, at)


@dataclass
class _String:
    """One string of one kind of owner, added up."""

    rows: list[StoreRow] = field(default_factory=list)

    def add_up(self, halves: Mapping[int, _Halves], span: UsageSpan) -> dict[str, float]:
        whole = [row for row in self.rows if not is_set(row)]
        sets = [row for row in self.rows if is_set(row)]
        opened = [row for row in self.rows if span.holds(halves[row.reel_id].first_at)]
        return {
            "reel_m": _sum(row.used_m for row in whole),
            "sets": HALF * sum(min(halves[row.reel_id].within, _most(row)) for row in sets),
            "reels_opened": sum(row.kind == "reel" for row in opened),
            "sets_opened": sum(row.kind == SET for row in opened),
            "waste_m": _sum(row.waste_m for row in self.rows),
            "left_m": _sum(row.left_m for row in whole),
            "left_sets": sum(_left_of_set(row, halves[row.reel_id]) for row in sets),
            "racquets": sum(row.racquets for row in self.rows),
        }


def is_set(row: StoreRow) -> bool:
    """Whether it is counted in sets: a set, and what a player brings with the racquet, which is one."""
    return row.kind in SETS or (row.kind == LOOSE and row.owner_id is not None)


def _most(row: StoreRow) -> int:
    """Halves that a set can give, or a half of one; what came with racquets stands for as many sets as it takes."""
    return {SET: 2, HALF_SET: 1}.get(row.kind, 10**6)


def _left_of_set(row: StoreRow, halves: _Halves) -> float:
    if row.kind not in SETS or not row.is_open or row.left_m < OFFCUT_M:
        return 0.0
    return max(0, _most(row) - halves.until) * HALF


@dataclass(frozen=True)
class _Part:
    """One reel or set: what it cost, and what of it was opened, used, wasted and is left."""

    row: StoreRow
    bought: Bought | None
    halves: _Halves
    span: UsageSpan

    @property
    def opened_m(self) -> float:
        """All its metres where the first string went from it in the span."""
        whole_m = self.bought.metres if self.bought else self.row.opening_m + self.row.received_m
        return whole_m if self.span.holds(self.halves.first_at) else 0.0

    @property
    def left_m(self) -> float:
        """Metres that can still be used."""
        return 0.0 if is_set(self.row) and not _left_of_set(self.row, self.halves) else self.row.left_m


@dataclass(frozen=True)
class _Values:
    """What one string of one kind of owner cost, in minor units; None where the price of a part is not known."""

    parts: list[_Part]

    @property
    def opened(self) -> int | None:
        return self._worth(lambda part: part.opened_m)

    @property
    def used(self) -> int | None:
        return self._worth(lambda part: part.row.used_m)

    @property
    def waste(self) -> int | None:
        return self._worth(lambda part: part.row.waste_m)

    @property
    def left(self) -> int | None:
        return self._worth(lambda part: part.left_m)

    def _worth(self, metres: Callable[[_Part], float]) -> int | None:
        if not any(part.bought for part in self.parts):
            return None
        return worth_of((part.bought, metres(part)) for part in self.parts if metres(part) > ROUNDING_M)

    def without_price(self, *, is_players: bool) -> str:
        """Say which reels and sets of these have no price."""
        if not any(part.bought for part in self.parts):
            return "players’ own" if is_players else "no price known"
        codes = [part.row.code for part in self.parts if part.bought is None and self._counts(part)]
        more = f" and {len(codes) - NAMED} more" if len(codes) > NAMED else ""
        return f"{', '.join(codes[:NAMED])}{more}"

    @staticmethod
    def _counts(part: _Part) -> bool:
        return any(metres > ROUNDING_M for metres in (part.row.used_m, part.row.waste_m, part.left_m))


def string_rows(session: Session, event: Event, span: UsageSpan) -> tuple[StringRow, ...]:
    """Return what went and what is left of each string, the desk's own first, in four statements."""
    halves, bought = _halves(session, event, span), bought_reels(session, event)
    groups: dict[tuple[bool, int], _String] = defaultdict(_String)
    for row in reel_rows(session, event, from_at=span.from_at, to_at=span.to_at):
        groups[row.owner_id is not None, row.string_id].rows.append(row)
    found = []
    for (is_players, _), one in sorted(groups.items(), key=lambda pair: pair[0][0]):
        amounts = one.add_up(halves, span)
        if any(amounts.values()):
            values = _Values([_Part(row, bought.get(row.reel_id), halves[row.reel_id], span) for row in one.rows])
            found.append(_string_row(event, one.rows[0].string_name, is_players, amounts, values))
    return tuple(found)


def _halves(session: Session, event: Event, span: UsageSpan) -> Mapping[int, _Halves]:
    """Halves by reel: a use that was taken back sums to nothing and is none."""
    found = (
        select(ReelEntry.reel_id, func.sum(ReelEntry.metres), func.max(ReelEntry.at))
        .join(Reel, Reel.id == ReelEntry.reel_id)
        .where(Reel.event_id == event.id, ReelEntry.kind == "use", span.until(ReelEntry.at))
        .group_by(ReelEntry.reel_id, ReelEntry.job_id, ReelEntry.part)
    )
    halves: dict[int, _Halves] = defaultdict(_Halves)
    for reel_id, metres, at in session.execute(found):
        if metres < -ROUNDING_M:
            halves[reel_id].add(at, within=span.is_begun_by(at))
    return halves


def _string_row(event: Event, string: str, is_players: bool, amounts: dict[str, float], values: _Values) -> StringRow:
    return StringRow(
        string=string,
        owner="players" if is_players else "desk",
        racquets=int(amounts.pop("racquets")),
        reels_opened=int(amounts.pop("reels_opened")),
        sets_opened=int(amounts.pop("sets_opened")),
        **amounts,
        currency=event.currency,
        opened_minor=values.opened,
        used_minor=values.used,
        waste_minor=values.waste,
        left_minor=values.left,
        without_price=values.without_price(is_players=is_players),
    )


def pattern_rows(done: Sequence[JobFact]) -> tuple[PatternRow, ...]:
    """Metres a racquet by pattern, of the racquets with one string in both halves: a hybrid has two lengths."""
    groups: dict[str, list[float]] = defaultdict(list)
    for job in done:
        if job.mains.string_id == job.crosses.string_id and job.metres is not None:
            groups[str(job.pattern)].append(job.string_m)
    return tuple(
        PatternRow(pattern=pattern, racquets=len(metres), mean_m=fmean(metres), least_m=min(metres), most_m=max(metres))
        for pattern, metres in sorted(groups.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    )


def _sum(values: Iterable[float]) -> float:
    return round(sum(values), 2) + 0.0
