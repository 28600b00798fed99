"""String as it is bought: metres off reels, sets and their halves, by string, the desk's own and players' apart."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import fmean

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Reel, ReelEntry
from desk.queries.close.facts import JobFact
from desk.queries.close.span import UsageSpan
from desk.queries.close.string_rows import metres_of
from desk.queries.row_making import grouped
from desk.queries.string.reel_costs import Bought, bought_reels, worth_of
from desk.queries.string.store import ReelRow as StoreRow
from desk.queries.string.store import reel_rows
from desk.trade.racquet.reel_choice import HALF_SET, LOOSE, OFFCUT_M, ROUNDING_M, SET, SETS
from exports.rows.stock import PatternRow, StringRow

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


@dataclass(frozen=True)
class _Part:
    """One reel or set: what it cost, and what of it was opened, used and is left."""

    row: StoreRow
    bought: Bought | None
    halves: _Halves
    is_opened: bool

    @property
    def is_set(self) -> bool:
        """Whether it is counted in sets: a set, and what a player brings with the racquet, which is one."""
        return self.row.kind in SETS or (self.row.kind == LOOSE and self.row.owner_id is not None)

    @property
    def most(self) -> int:
        """Halves that it can give; what came with racquets stands for as many sets as it takes."""
        return {SET: 2, HALF_SET: 1}.get(self.row.kind, 10**6)

    @property
    def sets(self) -> float:
        return HALF * min(self.halves.within, self.most) if self.is_set else 0.0

    @property
    def left_sets(self) -> float:
        if self.row.kind not in SETS or not self.row.is_open or self.row.left_m < OFFCUT_M:
            return 0.0
        return max(0, self.most - self.halves.until) * HALF

    @property
    def opened_m(self) -> float:
        """All its metres where the first string went from it in the span."""
        whole_m = self.bought.metres if self.bought else self.row.opening_m + self.row.received_m
        return whole_m if self.is_opened else 0.0

    @property
    def left_m(self) -> float:
        """Metres that can still be used."""
        return 0.0 if self.is_set and not self.left_sets else self.row.left_m

    @property
    def counts(self) -> bool:
        return any(metres > ROUNDING_M for metres in (self.row.used_m, self.row.waste_m, self.left_m))


def string_rows(session: Session, event: Event, span: UsageSpan) -> tuple[StringRow, ...]:
    """Return what went and what is left of each string, the desk's own first, in four statements."""
    halves, bought = _halves(session, event, span), bought_reels(session, event)
    parts = (
        _Part(row, bought.get(row.reel_id), halves[row.reel_id], span.holds(halves[row.reel_id].first_at))
        for row in reel_rows(session, event, from_at=span.from_at, to_at=span.to_at)
    )
    groups = grouped(((part.row.owner_id is not None, part.row.string_id), part) for part in parts)
    in_order = sorted(groups.items(), key=lambda pair: pair[0][0])
    return tuple(row for (is_players, _), one in in_order if (row := _string_row(event, is_players, one)))


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


def _string_row(event: Event, is_players: bool, parts: Sequence[_Part]) -> StringRow | None:
    """The row of one string of one kind of owner; None where nothing went and nothing is left."""
    off_reels, opened = [part for part in parts if not part.is_set], [part for part in parts if part.is_opened]
    amounts = {
        "racquets": sum(part.row.racquets for part in parts),
        "reel_m": metres_of(part.row.used_m for part in off_reels),
        "sets": sum(part.sets for part in parts),
        "reels_opened": sum(part.row.kind == "reel" for part in opened),
        "sets_opened": sum(part.row.kind == SET for part in opened),
        "waste_m": metres_of(part.row.waste_m for part in parts),
        "left_m": metres_of(part.row.left_m for part in off_reels),
        "left_sets": sum(part.left_sets for part in parts if part.is_set),
    }
    if not any(amounts.values()):
        return None
    return StringRow(
        string=parts[0].row.string_name,
        owner="players" if is_players else "desk",
        **amounts,
        currency=event.currency,
        opened_minor=_worth(parts, lambda part: part.opened_m),
        used_minor=_worth(parts, lambda part: part.row.used_m),
        waste_minor=_worth(parts, lambda part: part.row.waste_m),
        left_minor=_worth(parts, lambda part: part.left_m),
        without_price=_without_price(parts, is_players=is_players),
    )


def _worth(parts: Sequence[_Part], metres: Callable[[_Part], float]) -> int | None:
    """What metres of these cost, in minor units; None where the price of a part is not known."""
    if not any(part.bought for part in parts):
        return None
    return worth_of((part.bought, metres(part)) for part in parts if metres(part) > ROUNDING_M)


def _without_price(parts: Sequence[_Part], *, is_players: bool) -> str:
    """Say which reels and sets of these have no price."""
    if not any(part.bought for part in parts):
        return "players’ own" if is_players else "no price known"
    codes = [part.row.code for part in parts if part.bought is None and part.counts]
    more = f" and {len(codes) - NAMED} more" if len(codes) > NAMED else ""
    return f"{', '.join(codes[:NAMED])}{more}"


def pattern_rows(done: Sequence[JobFact]) -> tuple[PatternRow, ...]:
    """Metres a racquet by pattern, of the racquets with one string in both halves: a hybrid has two lengths."""
    alike = (job for job in done if job.mains.string_id == job.crosses.string_id and job.metres is not None)
    groups = grouped((str(job.pattern), job.string_m) for job in alike)
    return tuple(
        PatternRow(pattern=pattern, racquets=len(metres), mean_m=fmean(metres), least_m=min(metres), most_m=max(metres))
        for pattern, metres in sorted(groups.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    )
