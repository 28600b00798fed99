"""The states of a match: what may follow what, and what must be free first."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Court, Event, Match, MatchChange, MatchSide, Player
from desk.queries.finding import find_of
from desk.queries.play.play import MATCH_STATE_WORDS
from desk.services.acting import Acting, lock_event


def the_match(session: Session, event_id: int, match_id: int) -> tuple[Event, Match]:
    """Return the event, locked, and its match."""
    event = lock_event(session, event_id)
    return event, find_of(session, event, Match, match_id, "match")


def change_state(session: Session, match: Match, to_state: str, *, at: datetime, acting: Acting) -> None:
    """Take the match to another state and keep who, when, from and to."""
    match.changes.append(MatchChange(at=at, by=acting.by, from_state=match.state, to_state=to_state))
    match.state = to_state


def keep_place(match: Match, acting: Acting) -> None:
    """Keep where the match stands before it is moved, so that the move can be taken back."""
    match.changes.append(
        MatchChange(
            at=acting.at,
            by=acting.by,
            from_state=match.state,
            to_state=match.state,
            from_day_id=match.day_id,
            from_court_id=match.court_id,
            from_position=match.position,
            from_start_at=match.start_at,
        )
    )


def require_state(match: Match, allowed: tuple[str, ...], doing: str) -> None:
    """Refuse what the match's state does not allow; DOING names it after "to"."""
    if match.state not in allowed:
        wanted = " or ".join(MATCH_STATE_WORDS[state] for state in allowed)
        raise Conflict(
            f"Match {match.code} is {MATCH_STATE_WORDS[match.state]}; to {doing} it must be {wanted}. "
            "If a touch was wrong, take back its last change."
        )


def require_players_known(session: Session, match: Match) -> None:
    """Refuse while a place still waits for the winner of an earlier match."""
    waiting = [side.winner_of_id for side in match.sides if side.player_id is None and side.winner_of_id is not None]
    if waiting:
        earlier = session.get_one(Match, waiting[0])
        raise Conflict(
            f"Match {match.code} waits for the winner of match {earlier.code}; enter that winner or name the player."
        )


def require_court_free(session: Session, event: Event, match: Match) -> None:
    """Refuse when another match is in play on the court."""
    other = session.scalar(
        select(Match).where(
            Match.event_id == event.id,
            Match.court_id == match.court_id,
            Match.state == "on_court",
            Match.id != match.id,
        )
    )
    if other is not None:
        court = session.get_one(Court, match.court_id)
        raise Conflict(f"Match {other.code} is still on {court.name}; finish or suspend it, or move one of the two.")


def require_players_free(session: Session, event: Event, match: Match) -> None:
    """Refuse when a player of the match is in play on another court."""
    players = [side.player_id for side in match.sides if side.player_id is not None]
    found = session.execute(
        select(Player.called, Match.code, Court.name)
        .select_from(MatchSide)
        .join(Match, Match.id == MatchSide.match_id)
        .join(Player, Player.id == MatchSide.player_id)
        .join(Court, Court.id == Match.court_id)
        .where(
            Match.event_id == event.id,
            Match.state == "on_court",
            Match.id != match.id,
            MatchSide.player_id.in_(players),
        )
    ).first()
    if found is not None:
        name, code, court = found
        raise Conflict(f"{name} is still on {court} in match {code}; finish that match first.")


def not_ahead(at: datetime | None, acting: Acting) -> datetime:
    """Return AT, or the present where it is empty; a time to come is refused."""
    if at is not None and at > acting.at:
        raise BadInput("That time is still to come; leave it empty for now.", fields={"at": "still to come"})
    return at or acting.at
