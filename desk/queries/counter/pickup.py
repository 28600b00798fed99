"""What waits at the counter to be collected, by player, and what was handed over last."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from desk.models import OPEN_STATES, ContactPlayer, Event, HandOver, Job, Player
from desk.queries.counter.job_cards import CardView, card_views
from desk.queries.plan.planned_place import planned_ends
from desk.queries.promise.open_times import open_times
from desk.queries.row_making import grouped, row_of
from desk.trade.play.needed_by import A_LITTLE_MIN, minutes_past


@dataclass(frozen=True, kw_only=True)
class Uncollected:
    """One player's strung racquets that nobody has taken yet; `since_at` is the oldest of them."""

    player_id: int
    player: str
    since_at: datetime
    codes: tuple[str, ...]
    phone: str = ""


@dataclass(frozen=True, kw_only=True)
class Given:
    """A hand-over that can be taken back."""

    hand_over_id: int
    at: datetime
    player_id: int
    player: str
    collected_by: str
    racquets: int


@dataclass(frozen=True, kw_only=True)
class Coming:
    """A racquet of the player that is not ready yet, with the plan's end; `open_why` where nobody can say a time."""

    card: CardView
    planned_end_at: datetime | None
    open_why: str = ""

    @property
    def past_min(self) -> int:
        """Minutes by which the plan misses its promise."""
        return 0 if self.planned_end_at is None else minutes_past(self.planned_end_at, self.card.promised_at)

    @property
    def is_a_little(self) -> bool:
        return self.past_min < A_LITTLE_MIN


def uncollected(session: Session, event: Event) -> list[Uncollected]:
    """Return who has strung racquets at the desk, the longest wait first."""
    found = (
        select(Job.player_id, Player.called, Player.phone, Job.code, Job.finished_at)
        .join(Player, Player.id == Job.player_id)
        .where(Job.event_id == event.id, Job.state == "strung")
        .order_by(Job.finished_at, Job.serial)
    )
    players = grouped((row.player_id, row) for row in session.execute(found))
    return [
        Uncollected(
            player_id=player_id,
            player=rows[0].called,
            since_at=rows[0].finished_at,
            codes=tuple(row.code for row in rows),
            phone=rows[0].phone,
        )
        for player_id, rows in players.items()
    ]


def ready_cards(session: Session, event: Event, player_id: int) -> list[CardView]:
    """Return the strung racquets of one player."""
    return card_views(session, Job.event_id == event.id, Job.player_id == player_id, Job.state == "strung")


def ready_for_contact(session: Session, event: Event, contact_id: int) -> list[CardView]:
    """Return the strung racquets that a contact may collect, by player."""
    collects = select(ContactPlayer.player_id).where(
        ContactPlayer.contact_id == contact_id, ContactPlayer.may_collect.is_(True)
    )
    cards = card_views(session, Job.event_id == event.id, Job.player_id.in_(collects), Job.state == "strung")
    return sorted(cards, key=lambda card: (card.player, card.player_id, card.racquet))


def coming_cards(session: Session, event: Event, player_id: int, at: datetime) -> list[Coming]:
    """Return the racquets of one player that are not ready AT."""
    cards = card_views(session, Job.event_id == event.id, Job.player_id == player_id, Job.state.in_(OPEN_STATES))
    ends, undecided = planned_ends(session, event), open_times(session, event, at)
    found = ((card, undecided.get(card.job_id, "")) for card in cards)
    return [
        Coming(card=card, planned_end_at=None if why else card.expected_end_at or ends.get(card.job_id), open_why=why)
        for card, why in found
    ]


def last_given(session: Session, event: Event, *, limit: int = 5) -> list[Given]:
    """Return the newest hand-overs that stand."""
    racquets = select(func.count()).where(Job.hand_over_id == HandOver.id).scalar_subquery()
    found = (
        select(HandOver, Player.called, racquets)
        .join(Player, Player.id == HandOver.player_id)
        .where(HandOver.event_id == event.id, HandOver.undone_at.is_(None))
        .order_by(HandOver.id.desc())
        .limit(limit)
    )
    return [
        row_of(Given, given, hand_over_id=given.id, player=name, racquets=count)
        for given, name, count in session.execute(found)
    ]


def collectors(session: Session, event: Event, player_id: int) -> list[str]:
    """Return who took racquets of this player before, the newest first, to offer them again."""
    found = select(HandOver.collected_by).where(HandOver.event_id == event.id, HandOver.player_id == player_id)
    return list(dict.fromkeys(session.scalars(found.order_by(HandOver.id.desc()).limit(20))))[:4]


def players_with_racquets(session: Session, event: Event, letters: str) -> list[tuple[int, str, int]]:
    """Return (id, name, strung racquets) of players whose name holds LETTERS and who left racquets here."""
    strung = func.sum(case((Job.state == "strung", 1), else_=0))
    found = (
        select(Player.id, Player.called, strung)
        .join(Job, Job.player_id == Player.id)
        .where(Player.event_id == event.id, Player.search_name.contains(letters, autoescape=True))
        .where(Job.state.in_((*OPEN_STATES, "strung")))
        .group_by(Player.id)
        .order_by(Player.search_name, Player.code)
        .limit(30)
    )
    return [tuple(row) for row in session.execute(found)]


def player_of_token(session: Session, event_id: int, token: str) -> int | None:
    """Return the player whose own link, as printed on tag and receipt, ends in TOKEN."""
    return session.scalar(select(Player.id).where(Player.event_id == event_id, Player.token == token))
