"""One racquet as it was strung before, with the hours that each bed was played, and what the trade advises."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session, joinedload

from desk.errors import NotFound
from desk.models import Event, Job, Player, Racquet
from desk.queries.bench.bench_times import MATERIALS
from desk.queries.counter.job_cards import CardView, card_views
from desk.queries.players.known_cards import known_views
from desk.queries.players.suggestions import hours_of_matches
from desk.trade.racquet.advice import RestringAdvice, how_often, restring_advice
from desk.trade.racquet.units import Tension

BEDS = 5


@dataclass(frozen=True, kw_only=True)
class BedRow:
    """One bed; `hours` it was played and by what they are known (said or matches), or None; `known_from` an
    earlier event. `is_in` while the racquet did not come again.
    """

    card: CardView
    strung_at: datetime | None
    hours: float | None
    basis: str
    known_from: str = ""
    is_in: bool = False


@dataclass(frozen=True, kw_only=True)
class StrungBefore:
    """A racquet with its last beds, the newest first; `low` and `high` are the frame's printed range."""

    player_id: int
    player: str
    number: int
    frame: str
    low: Tension | None
    high: Tension | None
    beds: tuple[BedRow, ...]
    advice: RestringAdvice | None
    often: str


def strung_before(session: Session, event: Event, player: Player, number: int, at: datetime) -> StrungBefore:
    """Return how racquet NUMBER of a player was strung before AT, the last beds with their hours of play.

    Hours are those that the player said when it came again, else those of the player's matches at this event
    while it was strung so; where neither is known there are none. The advice is on the newest bed.

    Raises
    ------
    NotFound
        When the player has no such racquet.
    """
    found = select(Racquet).where(Racquet.player_id == player.id, Racquet.number == number)
    racquet = session.scalar(found.options(joinedload(Racquet.frame)))
    if racquet is None:
        raise NotFound(f"{player.called} has no racquet {number} here; look the player up again.")
    beds, frame = _beds(session, event, player, racquet, at), racquet.frame
    low, high = (
        None if value is None or frame.tension_unit is None else Tension(value, frame.tension_unit)
        for value in (frame.tension_low, frame.tension_high)
    )
    return StrungBefore(
        player_id=player.id,
        player=player.called,
        number=racquet.number,
        frame=frame.name,
        low=low,
        high=high,
        beds=tuple(beds),
        advice=_advice(beds[0], at) if beds else None,
        often=how_often(player.hours_per_week),
    )


def _beds(session: Session, event: Event, player: Player, racquet: Racquet, at: datetime) -> list[BedRow]:
    newest = select(Job.id).where(Job.racquet_id == racquet.id, Job.finished_at.is_not(None), Job.state != "cancelled")
    newest = newest.order_by(Job.finished_at.desc(), Job.id.desc()).limit(BEDS)
    cards = card_views(session, Job.id.in_(newest))
    said = dict(
        session.execute(select(Job.id, Job.played_hours).where(Job.id.in_([card.job_id for card in cards]))).all()
    )
    came = list(session.scalars(select(Job.dropped_at).where(Job.racquet_id == racquet.id, Job.state != "cancelled")))
    matches = hours_of_matches(session, event, player)
    rows = []
    for card in sorted(cards, key=lambda card: (card.finished_at or at, card.job_id), reverse=True):
        until = min((one for one in came if card.finished_at and one > card.finished_at), default=at)
        played = sum(hours for ended, hours in matches if card.finished_at and card.finished_at < ended <= until)
        hours, basis = _known(said.get(card.job_id), played)
        rows.append(BedRow(card=card, strung_at=card.finished_at, hours=hours, basis=basis, is_in=until == at))
    card, known_from = known_views(session, player).get(racquet.number, (None, ""))
    if card is not None and len(rows) < BEDS:
        rows.append(BedRow(card=card, strung_at=None, hours=None, basis="", known_from=known_from))
    return rows


def _known(said: float | None, played: float) -> tuple[float | None, str]:
    if said is not None:
        return said, "said"
    return (round(played, 1), "matches") if played else (None, "")


def _advice(bed: BedRow, at: datetime) -> RestringAdvice | None:
    """Return what hours and age of the newest bed say; None where the racquet came again, or nothing is known."""
    if not bed.is_in or bed.strung_at is None or bed.hours is None:
        return None
    return restring_advice(bed.hours, max(0, (at - bed.strung_at).days), MATERIALS[bed.card.bed.mains.material])
