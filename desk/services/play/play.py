"""Live play: matches started, finished, retired, walked over, suspended, moved; and the last touch taken back.

Every change moves the needed-by times with it; each function returns which jobs moved, and why.
"""

from __future__ import annotations

from datetime import datetime
from functools import partial

from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.queries.play.play import MATCH_STATE_WORDS
from desk.queries.play.play_records import FORMAT_NAMES, OVER
from desk.services.acting import Acting
from desk.services.play.match_states import (
    change_state,
    not_ahead,
    require_court_free,
    require_players_free,
    require_players_known,
    require_state,
    the_match,
)
from desk.services.play.needed_by import NeededByChange, play_changed
from desk.services.play.order_of_play import move_back
from desk.services.play.winners import clear_winner, name_winner
from desk.trade.play.match_length import check_sets


def start_match(
    session: Session, event_id: int, match_id: int, *, acting: Acting, started_at: datetime | None = None
) -> list[NeededByChange]:
    """Say that play began, now or at STARTED_AT; the court and the players must be free."""
    event, match = the_match(session, event_id, match_id)
    require_state(match, ("scheduled",), "start")
    require_players_known(session, match)
    require_court_free(session, event, match)
    require_players_free(session, event, match)
    at = not_ahead(started_at, acting)
    change_state(session, match, "on_court", at=at, acting=acting)
    match.started_at = at
    return play_changed(session, event, acting, f"Match {match.code} started on {match.court.name}")


def _end(
    session: Session,
    event_id: int,
    match_id: int,
    *,
    to_state: str,
    acting: Acting,
    winner_side: int | None = None,
    ended_at: datetime | None = None,
) -> list[NeededByChange]:
    event, match = the_match(session, event_id, match_id)
    require_state(match, ("on_court", "suspended"), "end")
    at = not_ahead(ended_at, acting)
    if match.started_at is not None and at < match.started_at:
        if ended_at is not None:
            raise BadInput(f"Match {match.code} cannot end before it started.", fields={"ended_at": "before its start"})
        # The clock was set back since: the match is over now, whatever it shows.
        at = match.started_at
    change_state(session, match, to_state, at=at, acting=acting)
    match.ended_at = at
    name_winner(session, match, winner_side)
    return play_changed(session, event, acting, f"Match {match.code} is {MATCH_STATE_WORDS[to_state]}")


finish_match = partial(_end, to_state="finished")
"""Say that a match is over; with WINNER_SIDE its winner takes the places that waited for it."""
retire = partial(_end, to_state="retired")
"""Say that a match ended because a side retired; WINNER_SIDE is the side that goes on."""


def walkover(
    session: Session, event_id: int, match_id: int, *, acting: Acting, winner_side: int | None = None
) -> list[NeededByChange]:
    """Say that a match will not be played; WINNER_SIDE is the side that goes on."""
    event, match = the_match(session, event_id, match_id)
    require_state(match, ("scheduled",), "be a walkover")
    change_state(session, match, "walkover", at=acting.at, acting=acting)
    match.ended_at = acting.at
    name_winner(session, match, winner_side)
    return play_changed(session, event, acting, f"Match {match.code} is a walkover")


def enter_winner(
    session: Session, event_id: int, match_id: int, winner_side: int, *, acting: Acting
) -> list[NeededByChange]:
    """Name or correct the winner of a match that is over."""
    event, match = the_match(session, event_id, match_id)
    require_state(match, OVER, "have a winner")
    clear_winner(session, match)
    name_winner(session, match, winner_side)
    return play_changed(session, event, acting, f"Match {match.code}: winner entered")


def set_sets_done(
    session: Session, event_id: int, match_id: int, sets_done: int, *, acting: Acting
) -> list[NeededByChange]:
    """Say how many sets of a match in play are over; the forecast of its end follows from it."""
    event, match = the_match(session, event_id, match_id)
    require_state(match, ("on_court", "suspended"), "have finished sets")
    try:
        check_sets(FORMAT_NAMES[match.format], sets_done)
    except ValueError as error:
        raise BadInput(f"Match {match.code}: {error}", fields={"sets_done": str(error)}) from error
    match.sets_done = sets_done
    return play_changed(session, event, acting, f"Match {match.code}: {sets_done} sets are over")


def suspend(session: Session, event_id: int, match_id: int, *, acting: Acting) -> list[NeededByChange]:
    """Say that play in one match stopped for the time being."""
    event, match = the_match(session, event_id, match_id)
    require_state(match, ("on_court",), "be suspended")
    change_state(session, match, "suspended", at=acting.at, acting=acting)
    return play_changed(session, event, acting, f"Match {match.code} is suspended")


def resume(session: Session, event_id: int, match_id: int, *, acting: Acting) -> list[NeededByChange]:
    """Say that a suspended match is played on."""
    event, match = the_match(session, event_id, match_id)
    require_state(match, ("suspended",), "be resumed")
    require_court_free(session, event, match)
    require_players_free(session, event, match)
    change_state(session, match, "on_court", at=acting.at, acting=acting)
    return play_changed(session, event, acting, f"Match {match.code} is played on")


def undo_last_change(session: Session, event_id: int, match_id: int, *, acting: Acting) -> list[NeededByChange]:
    """Take back the last change of a match: its state with the winner that it named, or its move."""
    event, match = the_match(session, event_id, match_id)
    last = match.changes[-1] if match.changes else None
    if last is None:
        raise Conflict(f"There is nothing to take back for match {match.code}.")
    if last.is_move:
        match.changes.remove(last)
        where = move_back(session, match, last)
        return play_changed(session, event, acting, f"Match {match.code}: move taken back, it is on {where} again")
    if last.to_state in OVER:
        clear_winner(session, match)
        match.ended_at = None
    if last.from_state == "on_court":
        require_court_free(session, event, match)
        require_players_free(session, event, match)
    if last.from_state == "scheduled":
        match.started_at = None
        match.sets_done = 0
    match.state = last.from_state
    match.changes.remove(last)
    words = f"'{MATCH_STATE_WORDS[last.to_state]}' taken back, it is {MATCH_STATE_WORDS[last.from_state]} again"
    return play_changed(session, event, acting, f"Match {match.code}: {words}")
