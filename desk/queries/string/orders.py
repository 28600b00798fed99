"""What string to order for the rest of the event."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Reel, ReelEntry, StringType
from desk.queries.event.event_days import DaySpan, day_spans
from desk.queries.play.matches_to_come import ToCome, matches_to_come
from desk.queries.string.foresight import open_needs
from desk.queries.string.lengths import event_factors
from desk.queries.string.sold import pieces_left, sets_there, sold_as
from desk.queries.string.store import ReelRow, own_reels, string_label
from desk.trade.racquet.reel_choice import LOOSE, ROUNDING_M, SETS, Need
from desk.trade.racquet.set_count import Later, Sold, of_string, to_order


@dataclass(frozen=True, kw_only=True)
class OrderRow:
    """What to order of one string, the desk's own only.

    `waiting_m` is for racquets at the desk, `need_m` everything to the end of the event; `order` counts `piece`s
    (reels, sets or half sets) of `reel_length_m`. Sets and half sets are counted by the halves of beds.
    """

    string_id: int
    string_name: str
    on_hand_m: float
    use_per_day_m: float
    waiting_m: float
    need_m: float
    reel_length_m: float
    piece: str
    order: int
    runs_out_on: date | None
    note: str


@dataclass(kw_only=True)
class _Player:
    """What one player takes of the desk's string, metres and halves of beds by string, and since when."""

    first_at: datetime
    last_at: datetime
    metres: dict[int, float] = field(default_factory=lambda: defaultdict(float))
    halves: dict[int, int] = field(default_factory=lambda: defaultdict(int))


@dataclass(kw_only=True)
class _Wanted:
    """What is wanted of one string: by the racquets that wait, one by one, and for the matches to come."""

    waiting_m: float = 0.0
    later_m: float = 0.0
    later_halves: float = 0.0
    beds: list[Need] = field(default_factory=list)


def order_rows(session: Session, event: Event, at: datetime) -> list[OrderRow]:
    """Return each string that is there or needed: what is left, what will go, and what to order.

    Needed are the racquets that wait and, for each player still in, the string that they took a
    match so far, times the matches to come (see `matches_to_come`). Where there is no order of play
    at all, every player goes on by the day. Players who were never at the desk are not counted.
    """
    spans = day_spans(session, event)
    waiting = open_needs(session, event, event_factors(session, event))
    to_come = matches_to_come(session, event)
    players = _players(session, event)
    wanted: dict[int, _Wanted] = defaultdict(_Wanted)
    for one in waiting:
        _wait(one.need, wanted, players[one.need.player_id])
    for player_id, player in players.items():
        times = _times(player, to_come.get(player_id)) if to_come else _by_the_day(player, spans, at)
        for string_id, metres in player.metres.items():
            wanted[string_id].later_m += metres * times
            wanted[string_id].later_halves += player.halves[string_id] * times
    reels = own_reels(session, event)
    strings = select(StringType).where(StringType.event_id == event.id).order_by(StringType.name, StringType.code)
    rows = [_row(string, reels[string.id], wanted[string.id], spans, at) for string in session.scalars(strings)]
    return [row for row in rows if row.need_m > 0 or row.on_hand_m > 0]


def _wait(need: Need, wanted: dict[int, _Wanted], player: _Player) -> None:
    """Count a racquet that waits by the strings that the desk takes for it."""
    for half in need.bed:
        if not half.own:
            wanted[half.string_id].waiting_m += half.metres
            player.metres[half.string_id] += half.metres
            player.halves[half.string_id] += 1
    for string_id in {half.string_id for half in need.bed if not half.own}:
        wanted[string_id].beds.append(of_string(need, string_id))


def _players(session: Session, event: Event) -> dict[int, _Player]:
    visits = (
        select(Job.player_id, func.min(Job.dropped_at), func.max(Job.dropped_at))
        .where(Job.event_id == event.id, Job.state != "cancelled")
        .group_by(Job.player_id)
    )
    players = {who: _Player(first_at=first, last_at=last) for who, first, last in session.execute(visits)}
    used = (
        select(Job.player_id, Reel.string_type_id, -func.sum(ReelEntry.metres))
        .join(ReelEntry, ReelEntry.job_id == Job.id)
        .join(Reel, Reel.id == ReelEntry.reel_id)
        .where(Job.event_id == event.id, ReelEntry.kind == "use", Reel.owner_id.is_(None))
        .group_by(Job.player_id, Reel.string_type_id, ReelEntry.job_id, ReelEntry.part)
    )
    for player_id, string_id, metres in session.execute(used):
        if player_id in players:
            players[player_id].metres[string_id] += metres
            players[player_id].halves[string_id] += metres > ROUNDING_M
    return players


def _times(player: _Player, matches: ToCome | None) -> float:
    """How often a player will take again what they took for each match so far."""
    if matches is None:
        return 0.0
    is_served = matches.last_over_at is None or player.last_at > matches.last_over_at
    served = matches.over + (1 if is_served else 0)
    return max(0.0, matches.expected - (1 if is_served else 0)) / max(1, served)


def _by_the_day(player: _Player, spans: Sequence[DaySpan], at: datetime) -> float:
    so_far = sum(1 for span in spans if span.to_at > player.first_at and span.from_at <= at)
    return sum(1 for span in spans if span.from_at > at) / max(1, so_far)


def _row(
    string: StringType, reels: Sequence[ReelRow], wanted: _Wanted, spans: Sequence[DaySpan], at: datetime
) -> OrderRow:
    there = [row for row in reels if row.withdrawn_at is None and row.kind != LOOSE]
    on_hand = round(sum(row.left_m for row in there), 2)
    waiting, needed = round(wanted.waiting_m, 1), round(wanted.waiting_m + wanted.later_m, 1)
    days_so_far = max(1, sum(1 for span in spans if span.from_at <= at))
    sold = sold_as(reels)
    later = Later(halves=wanted.later_halves, metres=wanted.later_m)
    order = to_order(sold, pieces_left(there), later, wanted.beds)
    return OrderRow(
        string_id=string.id,
        string_name=string_label(string),
        on_hand_m=on_hand,
        use_per_day_m=round(sum(row.used_m for row in reels) / days_so_far, 1),
        waiting_m=waiting,
        need_m=needed,
        reel_length_m=sold.metres,
        piece=sold.word,
        order=order,
        runs_out_on=_runs_out_on(*_amounts(sold, there, wanted, (on_hand, waiting, needed)), spans, at),
        note=_note(sold, there, order),
    )


def _amounts(
    sold: Sold, there: Sequence[ReelRow], wanted: _Wanted, metres: tuple[float, float, float]
) -> tuple[float, float, float]:
    """On hand, waiting and needed in all: in METRES, or in halves of beds where the string comes in sets."""
    if sold.kind not in SETS:
        return metres
    waiting = sum(half.metres > 0 for need in wanted.beds for half in need.bed)
    return sum(2 * row.sets for row in there), waiting, waiting + wanted.later_halves


def _note(sold: Sold, there: Sequence[ReelRow], order: int) -> str:
    if not order:
        return ""
    said = f"{sold.counted(order)} of {sold.metres:g} m"
    if sold.kind not in SETS:
        return said
    return f"{said}; there: {sets_there(there) or 'none'}"


def _runs_out_on(on_hand: float, waiting: float, needed: float, spans: Sequence[DaySpan], at: datetime) -> date | None:
    """The day on which it runs out: waiting racquets take theirs today, the rest goes evenly over the days to come."""
    left = [span.date for span in spans if span.to_at > at]
    if needed <= on_hand or not left:
        return None
    if waiting > on_hand or len(left) == 1:
        return left[0]
    a_day = (needed - waiting) / (len(left) - 1)
    return left[min(len(left) - 1, 1 + int((on_hand - waiting) / a_day + 1e-9))]
