"""Racquets that came on earlier days: what they took and by when they were wanted."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Frame, Job, JobCard, KnownCard, Match, MatchSide, Player, Racquet, StringType
from desk.queries.bench.bench_times import bench_card, learned_times
from desk.queries.play.play_records import clock_of
from desk.queries.row_making import grouped
from desk.queries.string.lengths import CardLike, frame_length
from desk.trade.rehearsed.habits import Brought
from desk.trade.rehearsed.picture import Card


@dataclass(frozen=True, kw_only=True)
class SeenDays:
    """All racquets that came, and who played each match of those days, as far as it is known."""

    racquets: Sequence[Seen] = ()
    players_of: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def days(self) -> set[int]:
        """The days on which racquets came."""
        return {one.brought.day for one in self.racquets}


@dataclass(frozen=True, kw_only=True)
class Seen:
    """One racquet that came: how it was brought, its bench minutes, and metres by (code of the string, own)."""

    brought: Brought
    minutes: int
    on_court_minutes: int
    uses: tuple[tuple[str, bool, float], ...]


class Cards:
    """What a card takes at this event: minutes by the learned table, metres by the frame."""

    def __init__(self, session: Session, event: Event) -> None:
        strings = session.scalars(select(StringType).where(StringType.event_id == event.id)).all()
        self._codes = {one.id: one.code for one in strings}
        self._materials = {one.id: one.material for one in strings}
        self._table = learned_times(session, event).table

    def seen(self, card: CardLike, frame: Frame, brought: Brought) -> Seen:
        """A racquet of this card and frame."""
        materials = card.bed.map(lambda half: self._materials[half.string_id])
        off, on = (self._table.minutes(bench_card(card, frame, materials, on_court=on)) for on in (False, True))
        metres = frame_length(frame, card.pieces)
        halves = zip(card.bed, metres, strict=True)
        uses = tuple((self._codes[half.string_id], half.own, length) for half, length in halves)
        return Seen(brought=brought, minutes=off, on_court_minutes=on, uses=uses)


def seen_in_records(session: Session, event: Event) -> SeenDays:
    """Every racquet that came to this event's desk and was not cancelled."""
    clock, cards = clock_of(session, event), Cards(session, event)
    found = (
        select(Job, JobCard, Frame, Player.code, Match.code)
        .join(JobCard, JobCard.job_id == Job.id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .join(Frame, Frame.id == Racquet.frame_id)
        .join(Player, Player.id == Job.player_id)
        .outerjoin(Match, Match.id == Job.match_id)
        .where(Job.event_id == event.id, Job.state != "cancelled", Player.erased_at.is_(None))
        .order_by(Job.serial)
    )
    rows = []
    for job, card, frame, player, match in session.execute(found):
        at = clock.to_minutes(job.dropped_at)
        day = (clock.day_of(at) - clock.first_day).days
        practice = job.needed_by_kind != "match" and not job.on_court
        brought = Brought(player=player, at_min=at, day=day, match=match, on_court=job.on_court, for_practice=practice)
        rows.append(cards.seen(card, frame, brought))
    return SeenDays(racquets=rows, players_of=_players_of(session, event))


def known_in_records(session: Session, event: Event) -> list[Seen]:
    """Return the racquets whose card is known from an earlier event; none of them has come yet."""
    cards = Cards(session, event)
    found = (
        select(KnownCard, Frame, Player.code)
        .join(Racquet, Racquet.id == KnownCard.racquet_id)
        .join(Frame, Frame.id == Racquet.frame_id)
        .join(Player, Player.id == Racquet.player_id)
        .where(Player.event_id == event.id, Player.erased_at.is_(None))
        .order_by(Player.code, Racquet.number)
    )
    return [
        cards.seen(card, frame, Brought(player=player, at_min=0, day=0, match=None, on_court=False))
        for card, frame, player in session.execute(found)
    ]


def _players_of(session: Session, event: Event) -> dict[str, tuple[str, ...]]:
    found = (
        select(Match.code, Player.code)
        .join(MatchSide, MatchSide.match_id == Match.id)
        .join(Player, Player.id == MatchSide.player_id)
        .where(Match.event_id == event.id)
        .order_by(Match.id, MatchSide.side, MatchSide.id)
    )
    return {match: tuple(players) for match, players in grouped(session.execute(found)).items()}


def cards_of(seen: Iterable[Seen]) -> tuple[dict[str, tuple[Card, ...]], tuple[tuple[str, bool], ...]]:
    """The cards of each player, one for each racquet seen, and the strings that they refer to by place."""
    places: dict[tuple[str, bool], int] = {}
    cards: dict[str, list[Card]] = defaultdict(list)
    for one in seen:
        uses = tuple((places.setdefault((code, own), len(places)), metres) for code, own, metres in one.uses)
        cards[one.brought.player].append(Card(minutes=one.minutes, on_court_minutes=one.on_court_minutes, uses=uses))
    return {player: tuple(some) for player, some in cards.items()}, tuple(places)


def next_match_of(
    player: str, at_min: int, expected: Mapping[str, int], players_of: Mapping[str, tuple[str, ...]]
) -> str | None:
    """The next match of a player after a minute, by its expected start."""
    ahead = [key for key, players in players_of.items() if player in players and expected[key] > at_min]
    return min(ahead, key=lambda key: expected[key], default=None)
