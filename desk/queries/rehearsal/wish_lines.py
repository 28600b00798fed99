"""Wishes about whose players are whose: as the allotment takes them, and as the screen lists them."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from desk.models import Contact, ContactPlayer, Event, Player, PlayerWish, Stringer
from desk.queries.row_making import grouped
from desk.trade.rehearsed.wish_kinds import KINDS, WITH


@dataclass(frozen=True, kw_only=True)
class Wishes:
    """Who wants whom, who does not go together, who belongs together; players and stringers by code.

    `apart` are players and stringers, `players_apart` players who are not to have the same stringer.
    """

    with_stringer: Mapping[str, str] | None = None
    apart: Collection[tuple[str, str]] = ()
    players_apart: Collection[tuple[str, str]] = ()
    groups: Sequence[Collection[str]] = ()
    fixed: Mapping[str, str] | None = None


@dataclass(frozen=True, kw_only=True)
class WishLine:
    """One wish in words; codes of the player and of the stringer or other player whom it names."""

    wish_id: int
    kind: str
    player: str
    stringer: str | None
    other: str | None
    words: str
    by: str

    def is_kept(self, chosen: Mapping[str, str]) -> bool:
        """Whether it is kept where players (by code) have these stringers."""
        mine = chosen.get(self.player)
        same = mine == (self.stringer if self.other is None else chosen.get(self.other))
        return same == (self.kind == WITH)


def wish_lines(session: Session, event: Event) -> list[WishLine]:
    """Return the wishes of an event, by the player's name."""
    other = aliased(Player)
    found = (
        select(PlayerWish, Player, Stringer, other)
        .join(Player, Player.id == PlayerWish.player_id)
        .outerjoin(Stringer, Stringer.id == PlayerWish.stringer_id)
        .outerjoin(other, other.id == PlayerWish.other_id)
        .where(PlayerWish.event_id == event.id)
        .order_by(Player.name, PlayerWish.id)
    )
    return [
        WishLine(
            wish_id=wish.id,
            kind=wish.kind,
            player=player.code,
            stringer=None if stringer is None else stringer.code,
            other=None if more is None else more.code,
            words=f"{player.called} {KINDS[wish.kind]} {more.called if more else stringer.name}",
            by=wish.by,
        )
        for wish, player, stringer, more in session.execute(found)
        if more is not None or stringer is not None
    ]


def wishes_of(session: Session, event: Event) -> Wishes:
    """Return the wishes of an event; the players of a coach belong together."""
    lines = wish_lines(session, event)
    wanted = [line for line in lines if line.kind == WITH]
    unwanted = [line for line in lines if line.kind != WITH]
    return Wishes(
        with_stringer={line.player: line.stringer for line in wanted if line.stringer is not None},
        apart=[(line.player, line.stringer) for line in unwanted if line.stringer is not None],
        players_apart=[(line.player, line.other) for line in unwanted if line.other is not None],
        groups=[*_coached(session, event), *((line.player, line.other) for line in wanted if line.other is not None)],
    )


def _coached(session: Session, event: Event) -> list[tuple[str, ...]]:
    found = (
        select(Contact.id, Player.code)
        .join(ContactPlayer, ContactPlayer.contact_id == Contact.id)
        .join(Player, Player.id == ContactPlayer.player_id)
        .where(Contact.event_id == event.id, Contact.kind == "coach", Contact.ended_at.is_(None))
        .order_by(Player.code)
    )
    return [tuple(players) for players in grouped(session.execute(found)).values() if len(players) > 1]
