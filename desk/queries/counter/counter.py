"""What the counter shows while racquets are taken in: choices, who is on court, and a visit just taken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Court, DropOff, Event, Frame, Job, Machine, Match, MatchSide, Player, Racquet, StringType
from desk.queries.counter.job_cards import CardView, card_views
from desk.queries.event.events import names_by_id, stringer_names
from desk.queries.play.play_records import IN_PLAY
from desk.queries.players.players import AT_DESK
from desk.queries.row_making import grouped, row_of
from desk.queries.string.store import string_label


@dataclass(frozen=True, kw_only=True)
class CourtRacquet:
    """A racquet of somebody on court with its last card; `last` is None while it has no card."""

    racquet_id: int
    number: int
    frame_name: str
    last: CardView | None

    @property
    def is_at_desk(self) -> bool:
        return self.last is not None and self.last.state in AT_DESK


@dataclass(frozen=True, kw_only=True)
class CourtPlayer:
    """A player with racquets to send for; `court` is empty for somebody who is not in play now."""

    player_id: int
    name: str
    court_id: int | None
    court: str
    since_at: datetime | None
    racquets: tuple[CourtRacquet, ...]


@dataclass(frozen=True, kw_only=True)
class Visit:
    """A drop-off as it was taken: who, when, what was found, and a card for each racquet."""

    drop_off_id: int
    player_id: int
    player: str
    at: datetime
    by: str
    frame_checked: bool
    frame_note: str
    consent: str
    brought_by: str
    cards: tuple[CardView, ...]

    @property
    def can_be_undone(self) -> bool:
        return any(card.state in ("waiting", "held") for card in self.cards)


def string_choices(session: Session, event: Event) -> list[tuple[int, str]]:
    """Return (id, label) of every string of the event, by name."""
    found = select(StringType).where(StringType.event_id == event.id).order_by(StringType.name, StringType.code)
    return [(string.id, string_label(string)) for string in session.scalars(found)]


def frame_choices(session: Session, event: Event) -> list[tuple[int, str]]:
    """Return (id, name with pattern) of every frame model of the event, by name."""
    found = select(Frame).where(Frame.event_id == event.id).order_by(Frame.name, Frame.code)
    return [(frame.id, f"{frame.name}, {frame.mains} × {frame.crosses}") for frame in session.scalars(found)]


def bench_names(session: Session, event: Event) -> tuple[dict[int, str], dict[int, str]]:
    """Return the names of stringers and of machines by id."""
    return dict(stringer_names(session, event.id)), names_by_id(session, event, Machine)


def players_in_play(session: Session, event: Event) -> list[CourtPlayer]:
    """Return everybody on court now with their racquets, by court; the number of statements is fixed."""
    found = (
        select(MatchSide.player_id, Player.called, Court.id, Court.name, Match.started_at)
        .join(Match, Match.id == MatchSide.match_id)
        .join(Court, Court.id == Match.court_id)
        .join(Player, Player.id == MatchSide.player_id)
        .where(Match.event_id == event.id, Match.state.in_(IN_PLAY))
        .order_by(Court.position, Court.name, MatchSide.side, Player.called)
    )
    return _with_racquets(session, session.execute(found).all())


def players_off_court(session: Session, event: Event, player_ids: Sequence[int]) -> list[CourtPlayer]:
    """Return those players with their racquets, as if none of them were in play; erased players are left out."""
    found = select(Player.id, Player.called).where(
        Player.event_id == event.id, Player.id.in_(player_ids), Player.erased_at.is_(None)
    )
    rows = [(player_id, name, None, "", None) for player_id, name in session.execute(found)]
    return _with_racquets(session, sorted(rows, key=lambda row: player_ids.index(row[0])))


def court_in_play(session: Session, event: Event, player_id: int) -> int | None:
    """Return the court on which a player is in play now, or None."""
    found = (
        select(Match.court_id)
        .join(MatchSide, MatchSide.match_id == Match.id)
        .where(Match.event_id == event.id, Match.state.in_(IN_PLAY), MatchSide.player_id == player_id)
    )
    return session.scalar(found.limit(1))


def _with_racquets(session: Session, rows: Sequence[Sequence]) -> list[CourtPlayer]:
    racquets = _racquets(session, [row[0] for row in rows])
    return [
        CourtPlayer(
            player_id=player_id,
            name=name,
            court_id=court_id,
            court=court,
            since_at=since_at,
            racquets=tuple(racquets[player_id]),
        )
        for player_id, name, court_id, court, since_at in rows
    ]


def _racquets(session: Session, player_ids: Sequence[int]) -> dict[int, list[CourtRacquet]]:
    newest = (
        select(func.max(Job.id)).where(Job.player_id.in_(player_ids), Job.state != "cancelled").group_by(Job.racquet_id)
    )
    last = {(card.player_id, card.racquet): card for card in card_views(session, Job.id.in_(newest))}
    found = (
        select(Racquet.id, Racquet.player_id, Racquet.number, Frame.name)
        .join(Frame, Frame.id == Racquet.frame_id)
        .where(Racquet.player_id.in_(player_ids))
        .order_by(Racquet.number)
    )
    return grouped(
        (player_id, CourtRacquet(racquet_id=row_id, number=number, frame_name=name, last=last.get((player_id, number))))
        for row_id, player_id, number, name in session.execute(found)
    )


def visit(session: Session, event: Event, drop_off_id: int) -> Visit | None:
    """Return a drop-off of the event with its cards, or None."""
    found = session.execute(
        select(DropOff, Player.called)
        .join(Player, Player.id == DropOff.player_id)
        .where(DropOff.event_id == event.id, DropOff.id == drop_off_id)
    ).first()
    if found is None:
        return None
    taken, name = found
    cards = tuple(card_views(session, Job.drop_off_id == taken.id))
    return row_of(Visit, taken, drop_off_id=taken.id, player=name, cards=cards)


def visit_of_key(session: Session, event: Event, request_key: str) -> int | None:
    """Return the drop-off that this very form has made already, when it is sent a second time."""
    found = select(DropOff.id).where(DropOff.event_id == event.id, DropOff.request_key == request_key)
    return session.scalar(found) if request_key else None


def player_names(session: Session, event: Event) -> dict[str, str]:
    """Return the names of the players by code."""
    return dict(session.execute(select(Player.code, Player.called).where(Player.event_id == event.id)).all())
