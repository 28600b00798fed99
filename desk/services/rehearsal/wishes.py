"""Wishes about whose players are whose: entered and taken back."""

from __future__ import annotations

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, Player, PlayerWish, Stringer
from desk.queries.finding import find_of
from desk.services.acting import Acting, lock_and_find, write_log
from desk.trade.rehearsed.wish_kinds import KINDS


def add_wish(
    session: Session,
    event_id: int,
    player_id: int,
    kind: str,
    *,
    stringer_id: int | None = None,
    other_id: int | None = None,
    acting: Acting,
) -> PlayerWish:
    """Note a wish of a player about a stringer, or about another player's stringer.

    Refused when it names nobody or the player's own self, or it or its contrary stands already.
    """
    event, player = lock_and_find(session, event_id, Player, player_id, "player")
    if kind not in KINDS or (stringer_id is None) == (other_id is None):
        raise BadInput("Say with whom: choose a stringer or another player.", fields={"whom": "choose one"})
    whom = (
        find_of(session, event, Player, other_id, "player")
        if stringer_id is None
        else find_of(session, event, Stringer, stringer_id, "stringer")
    )
    named = whom.called if isinstance(whom, Player) else whom.name
    if whom is player:
        raise BadInput(f"{player.called} is named twice. Choose somebody else.", fields={"whom": "somebody else"})
    for one in _about(session, event, player_id, stringer_id, other_id):
        said = "stands already" if one.kind == kind else "would contradict what stands already. Take that back first"
        raise Conflict(f"{player.called} {KINDS[kind]} {named} {said}.")
    wish = PlayerWish(
        event_id=event.id,
        kind=kind,
        player_id=player_id,
        stringer_id=stringer_id,
        other_id=other_id,
        at=acting.at,
        by=acting.by,
    )
    session.add(wish)
    session.flush()
    write_log(session, event, acting, "plan", f"Wish: {player.called} {KINDS[kind]} {named}")
    return wish


def remove_wish(session: Session, event_id: int, wish_id: int, *, acting: Acting) -> None:
    """Take a wish back."""
    event, wish = lock_and_find(session, event_id, PlayerWish, wish_id, "wish")
    player = session.get_one(Player, wish.player_id)
    session.delete(wish)
    write_log(session, event, acting, "plan", f"A wish of {player.called} taken back")


def _about(
    session: Session, event: Event, player_id: int, stringer_id: int | None, other_id: int | None
) -> list[PlayerWish]:
    """The wishes between the same two."""
    of_event = select(PlayerWish).where(PlayerWish.event_id == event.id)
    if stringer_id is not None:
        same = of_event.where(PlayerWish.player_id == player_id, PlayerWish.stringer_id == stringer_id)
        return list(session.scalars(same))
    one_way = (PlayerWish.player_id == player_id) & (PlayerWish.other_id == other_id)
    other_way = (PlayerWish.player_id == other_id) & (PlayerWish.other_id == player_id)
    return list(session.scalars(of_event.where(or_(one_way, other_way))))
