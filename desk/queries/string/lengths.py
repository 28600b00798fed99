"""String that a racquet takes: computed from its frame and card, corrected by what the benches measured."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from desk.models import Event, Frame, Job, JobCard, Machine, Racquet, Reel, ReelEntry
from desk.trade.racquet.bed import HALVES, HalfCard, StringBed
from desk.trade.racquet.reel_choice import ROUNDING_M, HalfNeed, Need
from desk.trade.racquet.string_length import REACH_CM, Head, LengthFactors, Metres, learned_factors, string_length
from desk.trade.racquet.units import CM2_PER_SQUARE_INCH

USUAL_HEAD_SQ_IN = 98.0
"""Taken for a frame of which nobody entered the head (common practice)."""

MEASURED_JOBS = 300
"""The newest measured racquets that correct the model."""


class CardLike(Protocol):
    """What of a card, stored or only asked for, decides how much string a racquet takes."""

    pieces: int

    @property
    def bed(self) -> StringBed[HalfCard]: ...


@dataclass(frozen=True)
class JobMetres(Metres):
    """String that went into one racquet."""

    measured: bool = False


NO_METRES = JobMetres(0.0, 0.0)


def frame_length(
    frame: Frame, pieces: int, reach_cm: float | None = None, factors: LengthFactors | None = None
) -> Metres:
    """Return the string of one racquet with this frame; a measured head goes before its area."""
    length, width = frame.head_length_cm, frame.head_width_cm
    area = frame.head_sq_in or USUAL_HEAD_SQ_IN
    return _length(length, width, area, frame.pattern, pieces, reach_cm or REACH_CM, factors)


@lru_cache(maxsize=4096)
def _length(length_cm: float | None, width_cm: float | None, area_sq_in: float, *rest: object) -> Metres:
    if length_cm is None or width_cm is None:
        head = Head.from_area(area_sq_in * float(CM2_PER_SQUARE_INCH))
    else:
        head = Head(length_cm=max(length_cm, width_cm), width_cm=min(length_cm, width_cm))
    return string_length(head, *rest)  # type: ignore[arg-type]


def event_factors(session: Session, event: Event) -> LengthFactors:
    """Return how far the newest measured racquets are off the model, shrunk towards no difference."""
    beds = _measured_beds(event).subquery()
    found = (
        select(Frame, JobCard.pieces, Machine.reach_cm, beds.c.mains, beds.c.crosses)
        .select_from(Job)
        .join(beds, beds.c.job_id == Job.id)
        .join(JobCard, JobCard.job_id == Job.id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .join(Frame, Frame.id == Racquet.frame_id)
        .outerjoin(Machine, Machine.id == Job.machine_id)
        .order_by(Job.id.desc())
        .limit(MEASURED_JOBS)
    )
    return learned_factors(
        (Metres(*measured), frame_length(frame, pieces, reach_cm))
        for frame, pieces, reach_cm, *measured in session.execute(found)
    )


def _measured_beds(event: Event):
    """Metres by job where mains and crosses were measured and the use was not taken back."""

    def of(part: str):
        return func.sum(case((ReelEntry.part == part, -ReelEntry.metres), else_=0.0))

    newest = (
        select(ReelEntry.job_id)
        .join(Reel, Reel.id == ReelEntry.reel_id)
        .where(Reel.event_id == event.id, ReelEntry.kind == "use", ReelEntry.measured, ReelEntry.job_id.is_not(None))
        .order_by(ReelEntry.id.desc())
        .limit(2 * MEASURED_JOBS)
    )
    computed_m = func.sum(case((ReelEntry.measured, 0.0), else_=-ReelEntry.metres))

    return (
        select(ReelEntry.job_id, *(of(half).label(half) for half in HALVES))
        .where(ReelEntry.kind == "use", ReelEntry.job_id.in_(newest))
        .group_by(ReelEntry.job_id)
        .having(*(of(half) > 1 for half in HALVES), computed_m < 0.01)
    )


def need_of(
    card: CardLike, frame: Frame, *, player_id: int, factors: LengthFactors | None = None, reach_cm: float | None = None
) -> Need:
    """Return the string that one racquet needs, to the centimetre."""
    length = frame_length(frame, card.pieces, reach_cm, factors)
    halves = (
        HalfNeed(half.string_id, half.own, round(metres, 2)) for half, metres in zip(card.bed, length, strict=True)
    )
    return Need(player_id=player_id, pieces=card.pieces, bed=StringBed(*halves))


def metres_by_job(session: Session, event: Event, job_ids: list[int] | None = None) -> dict[int, JobMetres]:
    """Return the string in each racquet that was strung, by job; one that was taken back is left out."""
    # A use that was taken back cancels with its counter-entry, measured or not.
    measured = func.sum(case((ReelEntry.measured, ReelEntry.metres), else_=0.0))
    found = (
        select(ReelEntry.job_id, ReelEntry.part, func.sum(ReelEntry.metres), measured)
        .join(Reel, Reel.id == ReelEntry.reel_id)
        .where(Reel.event_id == event.id, ReelEntry.kind == "use", ReelEntry.job_id.is_not(None))
        .group_by(ReelEntry.job_id, ReelEntry.part)
    )
    if job_ids is not None:
        found = found.where(ReelEntry.job_id.in_(job_ids))
    parts: dict[int, dict[str, tuple[float, bool]]] = {}
    for job_id, part, metres, measured_m in session.execute(found):
        if metres < -ROUNDING_M:
            parts.setdefault(job_id, {})[part or "mains"] = (round(-metres, 2), abs(metres - measured_m) < ROUNDING_M)
    return {
        job_id: JobMetres(
            *(of.get(half, (0.0, True))[0] for half in HALVES), measured=all(was for _, was in of.values())
        )
        for job_id, of in parts.items()
    }
