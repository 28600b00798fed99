"""Players: found by a few letters, with their racquets and the last card of each, and their history."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from sqlalchemy import ColumnElement, and_, func, or_, select
from sqlalchemy.orm import InstrumentedAttribute, Session, joinedload

from desk.models import OPEN_STATES, Event, Job, Player, Racquet
from desk.queries.counter.job_cards import CardView, card_views
from desk.queries.players.known_cards import known_views
from desk.queries.row_making import row_of
from desk.queries.string.lengths import NO_METRES, JobMetres, metres_by_job
from desk.trade.event.names import search_name
from desk.trade.racquet.string_length import Pattern

AT_DESK = (*OPEN_STATES, "strung")


@dataclass(frozen=True, kw_only=True)
class PlayerRow:
    """A player as the search shows one: `at_desk` counts racquets taken in and not handed over."""

    player_id: int
    code: str
    name: str
    note: str
    racquets: int
    at_desk: int
    last_drop_off_at: datetime | None


@dataclass(frozen=True, kw_only=True)
class RacquetRow:
    """One racquet of a player with its frame and the last job card; `last` is None before the first."""

    racquet_id: int
    number: int
    note: str
    frame_id: int
    frame_name: str
    pattern: Pattern
    tension_low: Decimal | None
    tension_high: Decimal | None
    tension_unit: str | None
    last: CardView | None
    known_from: str = ""
    """Where the last card is from, with the year, when it is from before this event."""

    @property
    def is_at_desk(self) -> bool:
        return self.last is not None and self.last.state in AT_DESK


@dataclass(frozen=True, kw_only=True)
class HistoryRow:
    """One job of a player: its card, when and where it was strung, string and stiffness."""

    card: CardView
    metres: JobMetres
    stiffness: float | None
    redo_of_code: str


def find_players(session: Session, event: Event, text: str, *, limit: int = 12) -> list[PlayerRow]:
    """Return players of whom every word of TEXT begins a part of the name, or whose code it is.

    Accents and capitals make no difference. Those who begin with TEXT come first, and without
    TEXT those who were at the desk last.
    """
    wanted = search_name(text)
    last_at = select(func.max(Job.dropped_at)).where(Job.player_id == Player.id).correlate(Player).scalar_subquery()
    found = select(Player, last_at).where(Player.event_id == event.id, Player.erased_at.is_(None))
    if wanted:
        by_name = and_(*(begins_a_word(Player.search_name, word) for word in wanted.split()))
        first = Player.search_name.startswith(wanted, autoescape=True)
        found = found.where(or_(by_name, func.lower(Player.code) == wanted))
        found = found.order_by(first.desc(), Player.search_name, Player.code)
    else:
        found = found.order_by(last_at.is_(None), last_at.desc(), Player.search_name)
    players = session.execute(found.limit(limit)).all()
    racquets, at_desk = _counts(session, [player.id for player, _ in players])
    return [
        row_of(
            PlayerRow,
            player,
            player_id=player.id,
            name=player.called,
            racquets=racquets.get(player.id, 0),
            at_desk=at_desk.get(player.id, 0),
            last_drop_off_at=at,
        )
        for player, at in players
    ]


def begins_a_word(name: InstrumentedAttribute[str], word: str) -> ColumnElement[bool]:
    """Return the condition that WORD begins a part of a name as it is searched."""
    return or_(
        name.startswith(word, autoescape=True),
        name.contains(f" {word}", autoescape=True),
        name.contains(f"-{word}", autoescape=True),
        name.contains(f"'{word}", autoescape=True),
    )


def _counts(session: Session, player_ids: list[int]) -> tuple[dict[int, int], dict[int, int]]:
    owned = select(Racquet.player_id, func.count()).where(Racquet.player_id.in_(player_ids)).group_by(Racquet.player_id)
    here = (
        select(Job.player_id, func.count())
        .where(Job.player_id.in_(player_ids), Job.state.in_(AT_DESK))
        .group_by(Job.player_id)
    )
    return dict(session.execute(owned).all()), dict(session.execute(here).all())


def racquet_rows(session: Session, player: Player) -> list[RacquetRow]:
    """Return the racquets of a player by number, each with the card of its last job."""
    newest = (
        select(func.max(Job.id)).where(Job.player_id == player.id, Job.state != "cancelled").group_by(Job.racquet_id)
    )
    last = {card.racquet: card for card in card_views(session, Job.id.in_(newest))}
    known = known_views(session, player)
    found = (
        select(Racquet)
        .where(Racquet.player_id == player.id)
        .options(joinedload(Racquet.frame))
        .order_by(Racquet.number)
    )
    rows = []
    for racquet in session.scalars(found):
        before, known_from = known.get(racquet.number, (None, ""))
        here = last.get(racquet.number)
        rows.append(_racquet_row(racquet, here or before, "" if here else known_from))
    return rows


def _racquet_row(racquet: Racquet, last: CardView | None, known_from: str) -> RacquetRow:
    frame = racquet.frame
    about = {"racquet_id": racquet.id, "frame_name": frame.name, "last": last, "known_from": known_from}
    return row_of(RacquetRow, racquet, frame, **about)


def history_rows(session: Session, event: Event, player: Player) -> list[HistoryRow]:
    """Return every job of a player at this event, the newest first."""
    cards = card_views(session, Job.player_id == player.id)
    found = select(Job.id, Job.code, Job.stiffness, Job.redo_of_id).where(Job.player_id == player.id)
    jobs = {row.id: row for row in session.execute(found)}
    metres = metres_by_job(session, event, list(jobs))
    return [
        HistoryRow(
            card=card,
            metres=metres.get(card.job_id, NO_METRES),
            stiffness=jobs[card.job_id].stiffness,
            redo_of_code="" if jobs[card.job_id].redo_of_id is None else jobs[jobs[card.job_id].redo_of_id].code,
        )
        for card in reversed(cards)
    ]
