"""How many matches each player may still play, from the order of play and the days that remain."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, EventDay, Match, MatchSide
from desk.queries.play.play_records import OVER
from desk.queries.row_making import grouped

PLAYS_ON = 0.5
"""Chance to win a match of which nothing is known."""


@dataclass(frozen=True, kw_only=True)
class ToCome:
    """One player's matches: over so far, when the last one ended, and those expected to come."""

    over: int
    last_over_at: datetime | None
    expected: float


def matches_to_come(session: Session, event: Event) -> dict[int, ToCome]:
    """Return for each player in the order of play what is over and what is expected, in three statements.

    A match in the order of play counts by the chance to be in it; beyond it half of those who play
    go on to each further day of the event.
    """
    matches = {m.id: m for m in session.scalars(select(Match).where(Match.event_id == event.id).order_by(Match.id))}
    found = select(MatchSide).join(Match, Match.id == MatchSide.match_id).where(Match.event_id == event.id)
    sides = grouped((side.match_id, side) for side in session.scalars(found))
    days = session.scalars(select(EventDay.id).where(EventDay.event_id == event.id).order_by(EventDay.date)).all()
    return _count(_Draw(sides), matches, {day_id: len(days) - 1 - number for number, day_id in enumerate(days)})


def _count(draw: _Draw, matches: dict[int, Match], days_after: dict[int, int]) -> dict[int, ToCome]:
    fed = {side.winner_of_id for sides in draw.sides.values() for side in sides}
    over: dict[int, list[Match]] = defaultdict(list)
    expected: dict[int, float] = defaultdict(float)
    for match in matches.values():
        rounds = 0 if match.id in fed else days_after[match.day_id]
        for player_id, chance in draw.chances(match.id).items():
            if match.state in OVER:
                over[player_id].append(match)
            else:
                expected[player_id] += chance * sum(PLAYS_ON**k for k in range(rounds + 1))
    return {
        player_id: ToCome(
            over=len(over[player_id]),
            last_over_at=max((m.ended_at for m in over[player_id] if m.ended_at is not None), default=None),
            expected=expected[player_id],
        )
        for player_id in {*over, *expected}
    }


class _Draw:
    """Who may be in which match, through the winners of matches before it."""

    def __init__(self, sides: dict[int, list[MatchSide]]) -> None:
        self.sides = sides
        self._known: dict[int, dict[int, float]] = {}

    def chances(self, match_id: int, before: frozenset[int] = frozenset()) -> dict[int, float]:
        """Chance of each player to be in a match; a match that waits for its own winner has no players."""
        if match_id in self._known:
            return self._known[match_id]
        found: dict[int, float] = defaultdict(float)
        for side in self.sides.get(match_id, ()):
            if side.player_id is not None:
                found[side.player_id] = 1.0
            elif side.winner_of_id is not None and side.winner_of_id not in before:
                for player_id, chance in self.chances(side.winner_of_id, before | {match_id}).items():
                    found[player_id] = min(1.0, found[player_id] + chance * PLAYS_ON)
        self._known[match_id] = found
        return found
