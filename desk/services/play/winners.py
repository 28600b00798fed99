"""The winner of a match takes the places that waited for it, and gives them back on an undo."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Match, MatchSide


def name_winner(session: Session, match: Match, winner_side: int | None) -> None:
    """Keep WINNER_SIDE (1 or 2; None: not known yet) and fill the places of later matches."""
    if winner_side is None:
        return
    players = [side.player_id for side in match.sides if side.side == winner_side and side.player_id is not None]
    if winner_side not in (1, 2):
        raise BadInput("The winner is side 1 or side 2.", fields={"winner_side": "1 or 2"})
    match.winner_side = winner_side
    for place in _places(session, match):
        _seat(session, place, players)


def clear_winner(session: Session, match: Match) -> None:
    """Take the winner out of the places that it filled; refused once such a match began."""
    if match.winner_side is None:
        return
    places = _places(session, match)
    for place in places:
        later = session.get_one(Match, place.match_id)
        if later.state != "scheduled":
            raise Conflict(
                f"The winner of match {match.code} plays in match {later.code}, which has begun or is over; "
                f"take back that of {later.code} first."
            )
    match.winner_side = None
    kept: set[tuple[int, int]] = set()
    for place in places:
        where = (place.match_id, place.side)
        if where in kept:
            session.delete(place)
        else:
            place.player_id = None
        kept.add(where)
    _forget_sides(session, places)


def _seat(session: Session, place: MatchSide, players: list[int]) -> None:
    """Put the first winner in the place, and the partner of a doubles beside."""
    if not players:
        return
    place.player_id = players[0]
    for partner in players[1:]:
        session.add(
            MatchSide(match_id=place.match_id, side=place.side, player_id=partner, winner_of_id=place.winner_of_id)
        )
    _forget_sides(session, [place])


def _places(session: Session, match: Match) -> list[MatchSide]:
    found = select(MatchSide).where(MatchSide.winner_of_id == match.id).order_by(MatchSide.id)
    return list(session.scalars(found))


def _forget_sides(session: Session, places: list[MatchSide]) -> None:
    """Make the matches read their sides from the records again."""
    session.flush()
    for place_match in {place.match_id for place in places}:
        session.expire(session.get_one(Match, place_match), ["sides"])
