"""String as it is bought: metres off reels, sets and their halves, by string, the desk's own and players' apart."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from statistics import fmean

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Price, Reel, ReelEntry
from desk.queries.close.facts import JobFact
from desk.queries.close.span import UsageSpan
from desk.queries.string.store import ReelRow as StoreRow
from desk.queries.string.store import reel_rows
from desk.trade.event.money import Money
from desk.trade.racquet.reel_choice import HALF_SET, LOOSE, OFFCUT_M, ROUNDING_M, SET, SETS
from exports import PatternRow, StringRow

HALF = 0.5


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


def string_rows(session: Session, event: Event, span: UsageSpan) -> tuple[StringRow, ...]:
    """Return what went and what is left of each string, the desk's own first, in three statements."""
    halves, prices = _halves(session, event, span), _prices(session, event)
    groups: dict[tuple[bool, int], _String] = defaultdict(_String)
    for row in reel_rows(session, event, from_at=span.from_at, to_at=span.to_at):
        groups[row.owner_id is not None, row.string_id].rows.append(row)
    found = []
    for (is_players, string_id), one in sorted(groups.items(), key=lambda pair: pair[0][0]):
        amounts = one.add_up(halves, span)
        if any(amounts.values()):
            value = None if is_players else _valued(event, prices, string_id)
            found.append(_string_row(event, one.rows[0].string_name, is_players, amounts, value))
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


PriceOf = Mapping[tuple[int | None, str], int]


def _prices(session: Session, event: Event) -> PriceOf:
    found = select(Price.string_type_id, Price.per, Price.amount_minor)
    rows = session.execute(found.where(Price.event_id == event.id, Price.kind == "string"))
    return {(string_id, per): minor for string_id, per, minor in rows}


@dataclass(frozen=True)
class _Value:
    """What a string is worth by the price list: a metre, and a set; None where the list does not say."""

    currency: str
    metre_minor: int | None
    set_minor: int | None

    def of(self, metres: float, sets: float) -> int | None:
        parts = ((self.metre_minor, metres), (self.set_minor, sets))
        if any(price is None and much for price, much in parts):
            return None
        return sum(Money(price or 0, self.currency).times(Decimal(str(much))).minor for price, much in parts)


def _valued(event: Event, prices: PriceOf, string_id: int) -> _Value:
    def price(per: str) -> int | None:
        return prices.get((string_id, per), prices.get((None, per)))

    return _Value(event.currency, price("metre"), price("set"))


def _string_row(
    event: Event, string: str, is_players: bool, amounts: Mapping[str, float], value: _Value | None
) -> StringRow:
    return StringRow(
        string=string,
        owner="players" if is_players else "desk",
        racquets=int(amounts["racquets"]),
        reel_m=amounts["reel_m"],
        sets=amounts["sets"],
        reels_opened=int(amounts["reels_opened"]),
        sets_opened=int(amounts["sets_opened"]),
        waste_m=amounts["waste_m"],
        left_m=amounts["left_m"],
        left_sets=amounts["left_sets"],
        currency=event.currency,
        used_minor=None if value is None else value.of(amounts["reel_m"], amounts["sets"]),
        left_minor=None if value is None else value.of(amounts["left_m"], amounts["left_sets"]),
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
