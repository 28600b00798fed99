"""String that a racquet takes: computed from its frame and card, corrected by what the benches measured."""

from __future__ import annotations

import math
from typing import Protocol

from sqlalchemy import Select, case, func, select
from sqlalchemy.orm import Session

from desk.models import Event, Frame, Job, JobCard, Machine, Racquet, Reel, ReelEntry
from desk.queries.stock import Need

DEFAULT_REACH_CM = 35.0
DEFAULT_HEAD_SQ_IN = 98.0
WEIGHT_OF_MODEL = 10
MEASURED_JOBS = 300


class CardLike(Protocol):
    """What of a card, stored or only asked for, decides about string."""

    mains_string_id: int
    crosses_string_id: int
    pieces: int
    own_string: bool


def computed_lengths(frame: Frame, pieces: int, reach_cm: float = DEFAULT_REACH_CM) -> tuple[float, float]:
    """Return metres of mains and crosses by the model, before any correction."""
    area = frame.head_sq_in or DEFAULT_HEAD_SQ_IN
    width = frame.head_width_cm or math.sqrt(area * 2.54**2 * 4 / math.pi / 1.3)
    length = frame.head_length_cm or width * 1.3
    mains = frame.mains * 0.88 * length + (frame.mains - 1) * 4 + 2 * reach_cm
    crosses = frame.crosses * 0.84 * width + (frame.crosses - 1) * 4 + 65
    return mains / 100, crosses / 100


def measured_factor(session: Session, event: Event) -> float:
    """Return measured over computed metres of the event's newest measured racquets, shrunk towards 1."""
    measured = _measured_beds(event).subquery()
    found = (
        select(Frame, JobCard.pieces, Machine.reach_cm, measured.c.metres)
        .select_from(Job)
        .join(measured, measured.c.job_id == Job.id)
        .join(JobCard, JobCard.job_id == Job.id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .join(Frame, Frame.id == Racquet.frame_id)
        .outerjoin(Machine, Machine.id == Job.machine_id)
        .order_by(Job.id.desc())
        .limit(MEASURED_JOBS)
    )
    ratios = [
        metres / sum(computed_lengths(frame, pieces, reach_cm or DEFAULT_REACH_CM))
        for frame, pieces, reach_cm, metres in session.execute(found)
    ]
    return (WEIGHT_OF_MODEL + sum(ratios)) / (WEIGHT_OF_MODEL + len(ratios))


def _measured_beds(event: Event) -> Select[tuple[int | None, float]]:
    """Metres by job where both parts were measured and the use was not taken back."""
    metres = func.sum(ReelEntry.metres)
    return (
        select(ReelEntry.job_id, (-metres).label("metres"))
        .join(Reel, Reel.id == ReelEntry.reel_id)
        .where(Reel.event_id == event.id, ReelEntry.kind == "use", ReelEntry.job_id.is_not(None))
        .group_by(ReelEntry.job_id)
        .having(metres < -1, func.min(case((ReelEntry.measured, 1), else_=0)) == 1)
    )


def need_of(
    card: CardLike, frame: Frame, *, player_id: int, factor: float = 1.0, reach_cm: float = DEFAULT_REACH_CM
) -> Need:
    """Return the string that one racquet needs, to the centimetre."""
    mains_m, crosses_m = computed_lengths(frame, card.pieces, reach_cm)
    return Need(
        player_id=player_id,
        own_string=card.own_string,
        pieces=card.pieces,
        mains_string_id=card.mains_string_id,
        crosses_string_id=card.crosses_string_id,
        mains_m=round(mains_m * factor, 2),
        crosses_m=round(crosses_m * factor, 2),
    )
