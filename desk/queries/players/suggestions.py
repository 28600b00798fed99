"""What the desk may suggest to a player: when to restring, and what to ask for; always with its reason."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Frame, Match, MatchSide, Player, StringType
from desk.queries.bench.bench_times import MATERIALS
from desk.queries.players.players import RacquetRow, racquet_rows
from desk.trade.bench.bench_time import Material
from desk.trade.racquet.advice import KnownOfPlayer, Proposal, RestringAdvice, propose, restring_advice
from desk.trade.racquet.bed import Bed
from desk.trade.racquet.units import Tension

DAYS_A_WEEK = 7


@dataclass(frozen=True, kw_only=True)
class RestringRow:
    """Advice for one racquet; `hours` are the hours of play that the desk knows of, `basis` says how."""

    racquet_id: int
    number: int
    strung_at: datetime
    hours: float
    basis: str
    advice: RestringAdvice


def restring_rows(session: Session, event: Event, player: Player, at: datetime) -> list[RestringRow]:
    """Return advice for each racquet that was strung here and is not at the desk now.

    Hours are those of the player's matches since it was strung, or the hours a week that the player
    told, whichever is more; where neither is known there is no advice.
    """
    played = hours_of_matches(session, event, player)
    if player.hours_per_week is None and not played:
        return []
    rows = []
    for racquet in racquet_rows(session, player):
        last = racquet.last
        if last is None or racquet.is_at_desk or last.finished_at is None:
            continue
        rows.append(_restring_row(racquet, last.finished_at, played, player.hours_per_week, at))
    return rows


def _restring_row(
    racquet: RacquetRow, strung_at: datetime, played: list[tuple[datetime, float]], weekly: float | None, at: datetime
) -> RestringRow:
    days = max(0, (at - strung_at).days)
    in_matches = sum(hours for ended_at, hours in played if ended_at > strung_at)
    by_week = (weekly or 0.0) * max(0.0, (at - strung_at).total_seconds()) / 86_400 / DAYS_A_WEEK
    hours = round(max(in_matches, by_week), 1)
    basis = "matches since it was strung" if in_matches >= by_week else f"{weekly:g} h of play a week"
    mains = racquet.last.bed.mains.material if racquet.last is not None else "other"
    return RestringRow(
        racquet_id=racquet.racquet_id,
        number=racquet.number,
        strung_at=strung_at,
        hours=hours,
        basis=basis,
        advice=restring_advice(hours, days, MATERIALS[mains]),
    )


def hours_of_matches(session: Session, event: Event, player: Player) -> list[tuple[datetime, float]]:
    """Return when each match of the player at this event ended, with its length in hours."""
    found = (
        select(Match.started_at, Match.ended_at)
        .join(MatchSide, MatchSide.match_id == Match.id)
        .where(Match.event_id == event.id, MatchSide.player_id == player.id)
        .where(Match.started_at.is_not(None), Match.ended_at.is_not(None))
        .distinct()
    )
    return [(ended, (ended - started).total_seconds() / 3600) for started, ended in session.execute(found)]


@dataclass(frozen=True, kw_only=True)
class ProposalRow:
    """What the desk may propose, with the strings of the event that fit a proposed material."""

    proposal: Proposal
    strings: Bed[tuple[str, ...]] | None


def proposal_for(
    session: Session,
    event: Event,
    player: Player,
    frame: Frame | None,
    *,
    full_swing: bool | None = None,
    breaks_soon: bool | None = None,
) -> ProposalRow:
    """Return what to propose to a player who does not know what to ask for, never to be filled in silently."""
    strung = [row.last for row in racquet_rows(session, player) if row.last is not None]
    last = max(strung, key=lambda card: card.job_id, default=None)
    low, high = _range(frame)
    proposal = propose(
        KnownOfPlayer(
            frame_low=low,
            frame_high=high,
            last_mains=None if last is None else last.bed.mains.spoken,
            last_string=None if last is None else last.bed.mains.string,
            full_swing=full_swing,
            breaks_soon=breaks_soon,
        )
    )
    found = select(StringType).where(StringType.event_id == event.id).order_by(StringType.name, StringType.code)
    strings = list(session.scalars(found))

    def of(material: Material) -> tuple[str, ...]:
        return tuple(one.name for one in strings if MATERIALS[one.material] == material)

    return ProposalRow(proposal=proposal, strings=proposal.materials and proposal.materials.map(of))


def _range(frame: Frame | None) -> tuple[Tension | None, Tension | None]:
    if frame is None or frame.tension_low is None or frame.tension_high is None or frame.tension_unit is None:
        return None, None
    return Tension(frame.tension_low, frame.tension_unit), Tension(frame.tension_high, frame.tension_unit)
