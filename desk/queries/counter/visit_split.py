"""A visit that the plan would give to several stringers: the times of both ways, before it is accepted."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy.orm import Session

from desk.models import Event, Player
from desk.queries.counter.drop_off_preview import Draft, wanted_of
from desk.queries.finding import find_of
from desk.queries.play.bags import turn
from desk.queries.promise import quotes
from desk.queries.row_making import grouped

MOST_TRIED = 4


@dataclass(frozen=True, kw_only=True)
class Share:
    """So many racquets of a visit with one stringer at these machines, the last of them ready by `ready_at`."""

    count: int
    stringer_id: int
    machine_ids: tuple[int, ...]
    ready_at: datetime


@dataclass(frozen=True, kw_only=True)
class Way:
    """One way of a visit: what each stringer gets, the first ready first; and what each racquet gets, by its place."""

    shares: tuple[Share, ...]
    quotes: Mapping[int, quotes.ReadyQuote]

    @property
    def breaks(self) -> tuple[str, ...]:
        """The jobs of others that would be late or break a promise."""
        return tuple(dict.fromkeys(code for quote in self.quotes.values() for code in quote.breaks))


@dataclass(frozen=True, kw_only=True)
class VisitSplit:
    """The visit in parts, and all of it with one stringer; `together` is None where nobody can take all."""

    parted: Way
    together: Way | None


def splits_of(
    session: Session,
    event: Event,
    visits: Sequence[tuple[int, Sequence[Draft]]],
    at: datetime,
    own_of: Callable[[int], int | None] = lambda _: None,
) -> list[VisitSplit | None]:
    """Return both ways of each visit whose drafts go to several stringers; None for one that stays with one.

    VISITS are players with their drafts, each behind the ones before it. OWN_OF returns a player's own stringer: of
    equal times all with them is the better. Racquets from the court are left out: they go to whoever is free first, at
    one time if need be.
    """
    parted = [_way(_bag(drafts)) for _, drafts in visits]
    splits: list[VisitSplit | None] = [None] * len(visits)
    last = max((number for number, way in enumerate(parted) if len(way.shares) > 1), default=-1)
    players = [find_of(session, event, Player, player_id, "player") for player_id, _ in visits[: last + 1]]
    if not players:
        return splits
    queue = quotes.Queue(session, event, at, {player.code for player in players})
    for number, player in enumerate(players):
        drafts, way = visits[number][1], parted[number]
        wanted = {place: wanted_of(event, player, drafts[place], at) for place in _in_turn(drafts)}
        if len(way.shares) > 1:
            bag = {place: one for place, one in wanted.items() if place in way.quotes}
            splits[number] = VisitSplit(parted=way, together=_together(queue, bag, way, own_of(player.id)))
        if number < last:
            queue.place([*wanted.values()])
    return splits


def _bag(drafts: Sequence[Draft]) -> dict[int, quotes.ReadyQuote]:
    quoted = {place: draft.quote for place, draft in enumerate(drafts) if not draft.form.on_court}
    return {place: quote for place, quote in quoted.items() if quote is not None}


def _in_turn(drafts: Sequence[Draft]) -> list[int]:
    """Return the places of the drafts that were quoted, in the order in which they are placed."""
    quoted = [place for place, draft in enumerate(drafts) if draft.quote is not None]
    return sorted(quoted, key=lambda place: turn(drafts[place].form.matters))


def _together(queue: quotes.Queue, bag: Mapping[int, quotes.Wanted], parted: Way, own: int | None) -> Way | None:
    """Return the whole bag with whoever has all of it ready first."""
    asked = dict.fromkeys([*([own] if own else []), *(share.stringer_id for share in parted.shares)])
    ways = []
    for stringer_id in [*asked][:MOST_TRIED]:
        found = queue.place([replace(one, stringer_id=stringer_id) for one in bag.values()], only_try=True)
        way = _way(dict(zip(bag, found, strict=True)))
        if way.shares and way.shares[0].count == len(bag):
            ways.append(way)
    return min(ways, key=lambda way: (way.shares[0].ready_at, way.shares[0].stringer_id != own), default=None)


def _way(found: Mapping[int, quotes.ReadyQuote]) -> Way:
    placed = [one for one in found.values() if one.stringer_id is not None and one.ready_at is not None]
    shares = [
        Share(
            count=len(given),
            stringer_id=stringer_id,
            machine_ids=tuple(dict.fromkeys(one.machine_id for one in given if one.machine_id is not None)),
            ready_at=max(one.ready_at for one in given if one.ready_at is not None),
        )
        for stringer_id, given in grouped((one.stringer_id, one) for one in placed).items()
    ]
    return Way(shares=tuple(sorted(shares, key=lambda one: (one.ready_at, one.stringer_id))), quotes=found)
