"""String that a racquet takes: computed from its frame and card, corrected by what the benches measured."""

from __future__ import annotations

from functools import lru_cache
from typing import Protocol

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from desk.models import Event, Frame, Job, JobCard, Machine, Racquet, Reel, ReelEntry
from desk.queries.string.stock import Need
from desk.trade.string_length import (
    REACH_CM,
    Head,
    LengthFactors,
    Pattern,
    StringLength,
    learned_factors,
    string_length,
)
from desk.trade.units import CM2_PER_SQUARE_INCH

USUAL_HEAD_SQ_IN = 98.0
"""Taken for a frame of which nobody entered the head (common practice)."""

MEASURED_JOBS = 300
"""The newest measured racquets that correct the model."""


class CardLike(Protocol):
    """What of a card, stored or only asked for, decides about string."""

    mains_string_id: int
    crosses_string_id: int
    pieces: int
    own_mains: bool
    own_crosses: bool


def frame_length(
    frame: Frame, pieces: int, reach_cm: float | None = None, factors: LengthFactors | None = None
) -> StringLength:
    """Return the string of one racquet with this frame; a measured head goes before its area."""
    length, width = frame.head_length_cm, frame.head_width_cm
    if length is None or width is None:
        length = width = None
    area = frame.head_sq_in or USUAL_HEAD_SQ_IN
    return _length(length, width, area, (frame.mains, frame.crosses), pieces, reach_cm or REACH_CM, factors)


@lru_cache(maxsize=4096)
def _length(
    length_cm: float | None,
    width_cm: float | None,
    area_sq_in: float,
    pattern: tuple[int, int],
    *rest: object,
) -> StringLength:
    if length_cm is None or width_cm is None:
        head = Head.from_area(area_sq_in * float(CM2_PER_SQUARE_INCH))
    else:
        head = Head(length_cm=max(length_cm, width_cm), width_cm=min(length_cm, width_cm))
    return string_length(head, Pattern(mains=pattern[0], crosses=pattern[1]), *rest)  # type: ignore[arg-type]


def event_factors(session: Session, event: Event) -> LengthFactors:
    """Return what the event's newest measured racquets make of the model, shrunk towards it."""
    beds = _measured_beds(event).subquery()
    found = (
        select(Frame, JobCard.pieces, Machine.reach_cm, beds.c.mains_m, beds.c.crosses_m)
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
        (StringLength(mains_m, crosses_m), frame_length(frame, pieces, reach_cm))
        for frame, pieces, reach_cm, mains_m, crosses_m in session.execute(found)
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
        select(ReelEntry.job_id, of("mains").label("mains_m"), of("crosses").label("crosses_m"))
        .where(ReelEntry.kind == "use", ReelEntry.job_id.in_(newest))
        .group_by(ReelEntry.job_id)
        .having(of("mains") > 1, of("crosses") > 1, computed_m < 0.01)
    )


def need_of(
    card: CardLike,
    frame: Frame,
    *,
    player_id: int,
    factors: LengthFactors | None = None,
    reach_cm: float | None = None,
) -> Need:
    """Return the string that one racquet needs, to the centimetre."""
    length = frame_length(frame, card.pieces, reach_cm, factors)
    return Need(
        player_id=player_id,
        own_mains=card.own_mains,
        own_crosses=card.own_crosses,
        pieces=card.pieces,
        mains_string_id=card.mains_string_id,
        crosses_string_id=card.crosses_string_id,
        mains_m=round(length.mains_m, 2),
        crosses_m=round(length.crosses_m, 2),
    )
