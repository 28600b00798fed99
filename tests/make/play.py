"""Courts and matches."""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Court, Event, EventDay, Match, MatchSide, Player
from desk.trade.event.event_time import EventClock
from tests.make.adding import add, next_number


def make_court(session: Session, event: Event, **over: Any) -> Court:
    number = next_number(session, Court)
    return add(session, Court(event_id=event.id, **({"name": f"Court {number}", "position": number} | over)))


def make_match(
    session: Session,
    court: Court,
    *,
    day: EventDay,
    players: Sequence[Player | Match | None] = (None, None),
    start: str | None = None,
    **over: Any,
) -> Match:
    """Return a match of one player a side; a Match in PLAYERS stands for its winner.

    START is "at 11:00" or "not before 14:00"; without it the match follows the one before on its court.
    """
    number = next_number(session, Match)
    last = session.scalar(select(func.max(Match.position)).where(Match.court_id == court.id, Match.day_id == day.id))
    kind, _, hhmm = (start or "followed by").rpartition(" ")
    event = session.get_one(Event, court.event_id)
    clock = EventClock(event.time_zone, day.date)
    values = {
        "code": f"X{number:03}",
        "position": (last or 0) + 1,
        "format": "best_of_3_men",
        "start_kind": kind.replace(" ", "_") if start else "followed_by",
        "start_at": clock.parse(hhmm, day.date) if start else None,
    } | over
    match = add(session, Match(event_id=court.event_id, court_id=court.id, day_id=day.id, **values))
    for side, who in enumerate(players, start=1):
        player_id = who.id if isinstance(who, Player) else None
        winner_of_id = who.id if isinstance(who, Match) else None
        session.add(MatchSide(match_id=match.id, side=side, player_id=player_id, winner_of_id=winner_of_id))
    session.flush()
    session.refresh(match)
    return match
