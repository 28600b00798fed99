"""Sister racquets that differ: same player, same card, same day, stiffness too far apart."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Job, JobCard, Player, Racquet
from desk.queries.event.event_days import day_at, day_spans
from desk.trade.racquet.frame_check import differing_sisters

FINISHED = ("strung", "handed_over")


@dataclass(frozen=True, kw_only=True)
class SisterRow:
    """One racquet of an unlike pair; `is_here` says that it has not left yet."""

    job_id: int
    code: str
    racquet: int
    stiffness: Decimal
    is_here: bool


@dataclass(frozen=True, kw_only=True)
class UnlikePair:
    """Two racquets that should feel the same and do not."""

    player_id: int
    player: str
    day: date | None
    softer: SisterRow
    stiffer: SisterRow
    difference: Decimal

    @property
    def reason(self) -> str:
        return (
            f"{self.softer.code} (racquet {self.softer.racquet}, {self.softer.stiffness}) and {self.stiffer.code} "
            f"(racquet {self.stiffer.racquet}, {self.stiffer.stiffness}) differ by {self.difference}: "
            "measure both again, or string one again."
        )


def unlike_sisters(
    session: Session, event: Event, *, since_at: datetime | None = None, player_id: int | None = None
) -> list[UnlikePair]:
    """Return the pairs that differ by more than the event's tolerance while one of them is still here.

    The widest difference of each player comes first. With `since_at`, racquets finished before are left out;
    with `player_id`, other players are.
    """
    spans = day_spans(session, event)
    groups: dict[tuple[object, ...], list[tuple[SisterRow, str]]] = defaultdict(list)
    for job, card, name, number in session.execute(_finished(event, since_at, player_id)):
        day = day_at(spans, job.finished_at)
        known = {"stiffness": Decimal(str(job.stiffness)), "is_here": job.state == "strung"}
        row = SisterRow(job_id=job.id, code=job.code, racquet=number, **known)
        groups[job.player_id, None if day is None else day.date, *_card_key(card)].append((row, name))
    pairs = [pair for key, rows in groups.items() for pair in _pairs(event, key, rows)]
    return sorted(pairs, key=lambda pair: (pair.player, -pair.difference, pair.softer.code))


def unlike_this(session: Session, event: Event, job: Job) -> list[str]:
    """Return the codes of the sisters from which a racquet with a stiffness, just taken, differs too much."""
    if job.stiffness is None:
        return []
    tolerance = Decimal(str(event.stiffness_tolerance))
    own = Decimal(str(job.stiffness))
    return [code for code, stiffness in sisters_of(session, event, job) if abs(stiffness - own) > tolerance]


def sisters_of(session: Session, event: Event, job: Job) -> list[tuple[str, Decimal]]:
    """Return code and stiffness of the racquets that were strung alike for the player on the day of JOB."""
    spans = day_spans(session, event)
    day, key = day_at(spans, job.started_at), _card_key(job.card)
    found = (
        select(Job, JobCard)
        .join(JobCard, JobCard.job_id == Job.id)
        .where(
            Job.player_id == job.player_id,
            Job.id != job.id,
            Job.state.in_(FINISHED),
            Job.stiffness.is_not(None),
            Job.finished_at.is_not(None),
        )
        .order_by(Job.serial)
    )
    sisters = [one for one, card in session.execute(found) if _card_key(card) == key]
    return [(one.code, Decimal(str(one.stiffness))) for one in sisters if day_at(spans, one.finished_at) == day]


def _finished(event: Event, since_at: datetime | None, player_id: int | None):
    here = select(Job.player_id).where(Job.event_id == event.id, Job.state == "strung", Job.stiffness.is_not(None))
    found = (
        select(Job, JobCard, Player.called, Racquet.number)
        .join(JobCard, JobCard.job_id == Job.id)
        .join(Player, Player.id == Job.player_id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .where(
            Job.event_id == event.id,
            Job.state.in_(FINISHED),
            Job.player_id.in_(here),
            Job.stiffness.is_not(None),
            Job.finished_at.is_not(None),
        )
        .order_by(Job.serial)
    )
    if player_id is not None:
        found = found.where(Job.player_id == player_id)
    return found if since_at is None else found.where(Job.finished_at >= since_at)


def _card_key(card: JobCard) -> tuple[object, ...]:
    return (card.pieces, *((half.string_id, half.spoken.in_kg, half.pre_stretch) for half in card.bed))


def _pairs(event: Event, key: tuple[object, ...], rows: list[tuple[SisterRow, str]]) -> list[UnlikePair]:
    by_code = {row.code: row for row, _ in rows}
    readings = {row.code: row.stiffness for row, _ in rows}
    faults = differing_sisters(readings, Decimal(str(event.stiffness_tolerance)))
    return [
        UnlikePair(
            player_id=key[0],
            player=rows[0][1],
            day=key[1],
            softer=by_code[fault.softer],
            stiffer=by_code[fault.stiffer],
            difference=fault.difference,
        )
        for fault in faults
        if by_code[fault.softer].is_here or by_code[fault.stiffer].is_here
    ]
