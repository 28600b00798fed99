"""Editing the order of play: courts, matches, their places, times and players."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Court, Event, EventDay, Match, MatchChange, MatchSide, Player
from desk.queries.finding import find
from desk.queries.play.play_records import FORMAT_NAMES
from desk.services.acting import Acting, lock_event, log_change
from desk.services.form_values import next_position
from desk.services.play.match_states import keep_place, require_state, the_match
from desk.services.play.needed_by import NeededByChange, play_changed

Row = TypeVar("Row", Court, EventDay, Match, Player)
START_KINDS = ("at", "not_before", "followed_by")


@dataclass(frozen=True, kw_only=True)
class SideForm:
    """One side of a match: its player or players, or the match whose winner plays, or neither yet."""

    player_ids: Sequence[int] = ()
    winner_of_id: int | None = None


@dataclass(frozen=True, kw_only=True)
class MatchForm:
    """A match as it is entered.

    `start_at` is needed for `at` and `not_before`; `position` is its place in the court's order of
    that day, from 1 (None: the last); an empty `code` gets the next free one.
    """

    day_id: int
    court_id: int
    format: str
    start_kind: str = "followed_by"
    start_at: datetime | None = None
    position: int | None = None
    code: str = ""
    sides: tuple[SideForm, SideForm] = (SideForm(), SideForm())


def add_court(session: Session, event_id: int, name: str, *, acting: Acting) -> Court:
    """Add a court; its name must be free."""
    event = lock_event(session, event_id)
    name = name.strip()
    if not name:
        raise BadInput("Give the court a name.", fields={"name": "give a name"})
    if session.scalar(select(Court).where(Court.event_id == event.id, Court.name == name)) is not None:
        raise Conflict(f"There is a court named {name} already; take another name.")
    court = Court(event_id=event.id, name=name, position=next_position(session, event, Court))
    session.add(court)
    log_change(session, event, acting, f"{name} added", subject="play", plan=False)
    return court


def add_match(
    session: Session, event_id: int, form: MatchForm, *, acting: Acting
) -> tuple[Match, list[NeededByChange]]:
    """Add a match to the order of play."""
    event = lock_event(session, event_id)
    _require_sound(session, event, form)
    match = Match(event_id=event.id, code=_free_code(session, event, form.code, None), position=0, state="scheduled")
    _fill(session, match, form)
    session.add(match)
    session.flush()
    _set_sides(session, match, form.sides)
    _place(session, match, form.position)
    return match, play_changed(session, event, acting, f"Match {match.code} added")


def edit_match(
    session: Session, event_id: int, match_id: int, form: MatchForm, *, acting: Acting
) -> list[NeededByChange]:
    """Change a match that has not begun: day, court, place, time, format, code and players."""
    event, match = the_match(session, event_id, match_id)
    require_state(match, ("scheduled",), "be changed")
    _require_sound(session, event, form)
    old = (match.day_id, match.court_id)
    match.changes[:] = [change for change in match.changes if not change.is_move]
    match.code = _free_code(session, event, form.code or match.code, match)
    _fill(session, match, form)
    _set_sides(session, match, form.sides)
    _place(session, match, form.position)
    _close_ranks(session, *old)
    return play_changed(session, event, acting, f"Match {match.code} changed")


def move_match(
    session: Session,
    event_id: int,
    match_id: int,
    *,
    acting: Acting,
    court_id: int,
    position: int | None = None,
    day_id: int | None = None,
) -> list[NeededByChange]:
    """Put a match that is not in play on another court, place or day."""
    event, match = the_match(session, event_id, match_id)
    require_state(match, ("scheduled", "suspended"), "be moved")
    court = _of_event(session, event, Court, court_id, "court")
    day = _of_event(session, event, EventDay, day_id or match.day_id, "day")
    old = (match.day_id, match.court_id)
    keep_place(match, acting)
    if match.start_at is not None and day.id != match.day_id:
        match.start_at += day.opens_at - session.get_one(EventDay, match.day_id).opens_at
    match.court_id, match.court, match.day_id = court.id, court, day.id
    _place(session, match, position)
    _close_ranks(session, *old)
    return play_changed(session, event, acting, f"Match {match.code} moved to {court.name}")


def move_back(session: Session, match: Match, moved: MatchChange) -> str:
    """Put the match where it was before MOVED, and return the name of that court."""
    old = (match.day_id, match.court_id)
    court = session.get_one(Court, moved.from_court_id)
    match.court_id, match.court, match.start_at = court.id, court, moved.from_start_at
    match.day_id = moved.from_day_id or match.day_id
    session.flush()
    _place(session, match, moved.from_position)
    _close_ranks(session, *old)
    return court.name


def remove_match(session: Session, event_id: int, match_id: int, *, acting: Acting) -> list[NeededByChange]:
    """Take a match that has not begun out of the order of play; one that others wait for stays."""
    event, match = the_match(session, event_id, match_id)
    require_state(match, ("scheduled",), "be removed")
    waiting = session.scalar(
        select(Match.code).join(MatchSide, MatchSide.match_id == Match.id).where(MatchSide.winner_of_id == match.id)
    )
    if waiting is not None:
        raise Conflict(f"Match {waiting} waits for the winner of match {match.code}; change {waiting} first.")
    code, old = match.code, (match.day_id, match.court_id)
    session.delete(match)
    session.flush()
    _close_ranks(session, *old)
    return play_changed(session, event, acting, f"Match {code} removed")


def _fill(session: Session, match: Match, form: MatchForm) -> None:
    match.day_id, match.court_id, match.format = form.day_id, form.court_id, form.format
    match.court = session.get_one(Court, form.court_id)
    match.start_kind = form.start_kind
    match.start_at = None if form.start_kind == "followed_by" else form.start_at


def _require_sound(session: Session, event: Event, form: MatchForm) -> None:
    _of_event(session, event, EventDay, form.day_id, "day")
    _of_event(session, event, Court, form.court_id, "court")
    if form.format not in FORMAT_NAMES:
        raise BadInput("Choose one of the formats.", fields={"format": f"one of {', '.join(FORMAT_NAMES)}"})
    if form.start_kind not in START_KINDS:
        raise BadInput("Choose how the match starts.", fields={"start_kind": f"one of {', '.join(START_KINDS)}"})
    if form.start_kind != "followed_by" and form.start_at is None:
        raise BadInput("'At' and 'not before' need a time.", fields={"start_at": "give the time"})
    one, other = form.sides
    _require_sides(session, event, form.sides)
    _require_apart(set(one.player_ids), other.player_ids)


def _require_sides(session: Session, event: Event, sides: Sequence[SideForm]) -> None:
    for side in sides:
        for player_id in side.player_ids:
            _of_event(session, event, Player, player_id, "player")
        if side.winner_of_id is not None:
            _of_event(session, event, Match, side.winner_of_id, "match")
        if len(side.player_ids) > 2:
            raise BadInput("A side has one or two players.", fields={"sides": "one or two players"})


def _require_apart(ones: set[int], others: Sequence[int]) -> None:
    if ones & set(others):
        raise BadInput("A player cannot stand on both sides.", fields={"sides": "the same player twice"})


def _of_event(session: Session, event: Event, table: type[Row], row_id: int, what: str) -> Row:
    row = find(session, table, row_id, what)
    if row.event_id != event.id:
        raise BadInput(f"This {what} belongs to another event; choose one of {event.name}.")
    return row


def _set_sides(session: Session, match: Match, sides: Sequence[SideForm]) -> None:
    match.sides[:] = [row for number, side in enumerate(sides, start=1) for row in _side_rows(number, side)]
    session.flush()


def _side_rows(number: int, side: SideForm) -> list[MatchSide]:
    players: Sequence[int | None] = side.player_ids or (None,)
    return [MatchSide(side=number, player_id=player, winner_of_id=side.winner_of_id) for player in players]


def _free_code(session: Session, event: Event, wanted: str, own: Match | None) -> str:
    taken = {m.code for m in session.scalars(select(Match).where(Match.event_id == event.id)) if m is not own}
    if wanted.strip():
        if wanted.strip() in taken:
            raise Conflict(f"There is a match {wanted.strip()} already; take another code.")
        return wanted.strip()
    number = len(taken) + 1
    while f"M{number}" in taken:
        number += 1
    return f"M{number}"


def _place(session: Session, match: Match, position: int | None) -> None:
    """Put the match at POSITION (from 1) of its court and day; the others make room."""
    others = [one for one in _court_order(session, match.day_id, match.court_id) if one is not match]
    at = len(others) if position is None else min(max(position - 1, 0), len(others))
    for number, one in enumerate([*others[:at], match, *others[at:]], start=1):
        one.position = number


def _close_ranks(session: Session, day_id: int, court_id: int) -> None:
    for number, one in enumerate(_court_order(session, day_id, court_id), start=1):
        one.position = number


def _court_order(session: Session, day_id: int, court_id: int) -> list[Match]:
    found = select(Match).where(Match.day_id == day_id, Match.court_id == court_id)
    return list(session.scalars(found.order_by(Match.position, Match.id)))
