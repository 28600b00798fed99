"""A whole order of play at once, from a file; all of it or nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Court, Event, Match, MatchSide, Player
from desk.services.acting import Acting, lock_event
from desk.services.event_files.tables.spec import Row
from desk.services.play.needed_by import NeededByChange, play_changed


@dataclass(frozen=True, kw_only=True)
class MatchesTaken:
    """What a file did: matches added, changed, and left since they have begun; and what moved with them."""

    added: int
    changed: int
    left: int
    moved: list[NeededByChange]


def take_matches(
    session: Session, event_id: int, rows: Sequence[Row], *, file_name: str, acting: Acting
) -> MatchesTaken:
    """Add the matches of a file that `read_matches` read, and change those of the same code.

    One that has begun is left as it is.
    """
    event = lock_event(session, event_id)
    known = {match.code: match for match in session.scalars(select(Match).where(Match.event_id == event.id))}
    todo = [row for row in rows if row["code"] not in known or known[row["code"]].state == "scheduled"]
    added = sum(row["code"] not in known for row in todo)
    places = {(match.day_id, match.court_id) for match in known.values()}
    matches = _fill(session, event, todo, known)
    _set_sides(session, event, todo, matches)
    _put_in_order(todo, matches, places)
    changed = len(todo) - added
    moved = play_changed(session, event, acting, f"{file_name}: {added} matches added, {changed} changed")
    return MatchesTaken(added=added, changed=changed, left=len(rows) - len(todo), moved=moved)


def _fill(session: Session, event: Event, todo: list[Row], known: dict[str, Match]) -> dict[str, Match]:
    """Return every match by code, those of the file with what it says."""
    days = {day.date: day.id for day in event.days}
    courts = _courts(session, event, todo)
    matches = dict(known)
    for row in todo:
        match = matches.setdefault(row["code"], Match(event_id=event.id, code=row["code"], state="scheduled"))
        match.day_id, match.court_id, match.court = days[row["day"]], courts[row["court"]].id, courts[row["court"]]
        match.format, match.start_kind, match.start_at = row["format"], row["start_kind"], row["start"]
        match.position = row["position"]
        session.add(match)
    session.flush()
    return matches


def _courts(session: Session, event: Event, todo: list[Row]) -> dict[str, Court]:
    found = {court.name: court for court in session.scalars(select(Court).where(Court.event_id == event.id))}
    for name in dict.fromkeys(row["court"] for row in todo):
        if name not in found:
            found[name] = Court(event_id=event.id, name=name, position=len(found) + 1)
            session.add(found[name])
    session.flush()
    return found


def _set_sides(session: Session, event: Event, todo: list[Row], matches: dict[str, Match]) -> None:
    players = dict(session.execute(select(Player.code, Player.id).where(Player.event_id == event.id)).all())
    for row in todo:
        match = matches[row["code"]]
        match.sides[:] = [
            side for number in (1, 2) for side in _side(match, number, row[f"side{number}"], players, matches)
        ]
    session.flush()


def _side(match: Match, number: int, side: Any, players: dict[str, int], matches: dict[str, Match]) -> list[MatchSide]:
    if side.winner_of is None:
        return [MatchSide(side=number, player_id=players[code]) for code in side.players]
    feeder = matches[side.winner_of]
    kept = [one for one in match.sides if one.side == number and one.winner_of_id == feeder.id]
    winners = [one.player_id for one in feeder.sides if feeder.winner_side and one.side == feeder.winner_side]
    return kept or [MatchSide(side=number, player_id=who, winner_of_id=feeder.id) for who in winners or [None]]


def _put_in_order(todo: list[Row], matches: dict[str, Match], places: set[tuple[int, int]]) -> None:
    """Number every court and day from 1: what has begun first, then by place, the file before what it leaves out."""
    in_file = {row["code"] for row in todo}
    every = list(matches.values())
    for place in sorted(places | {(match.day_id, match.court_id) for match in every}):
        there = [match for match in every if (match.day_id, match.court_id) == place]
        there.sort(key=lambda match: (match.state == "scheduled", match.position, match.code not in in_file, match.id))
        for number, match in enumerate(there, start=1):
            match.position = number
