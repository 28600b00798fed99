"""Every racquet that was strung, in order of start, with what was told and what came of it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, HandOver, Job, Machine, Player, Racquet, Stringer
from desk.queries.plan.plan_board import newest_promises
from desk.queries.row_making import row_of
from desk.trade.play.needed_by import minutes_late, standing

STRUNG = ("strung", "handed_over", "redo")


@dataclass(frozen=True, kw_only=True)
class StrungRow:
    """One strung racquet; times are UTC, `late_min` counts past the latest, `standing` is late, tight or nothing."""

    code: str
    player: str
    racquet_number: int
    stringer: str
    machine: str
    on_court: bool
    started_at: datetime | None
    finished_at: datetime | None
    fetched_at: datetime | None
    promised_at: datetime | None
    needed_by_at: datetime | None
    late_min: int
    standing: str
    late_why: str


def strung_rows(session: Session, event: Event) -> list[StrungRow]:
    """Return every racquet of the event that was strung."""
    found = session.execute(
        select(Job, Player.called, Racquet.number, Stringer.name, Machine.name, HandOver.at)
        .join(Player, Player.id == Job.player_id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .join(Stringer, Stringer.id == Job.stringer_id)
        .join(Machine, Machine.id == Job.machine_id)
        .outerjoin(HandOver, HandOver.id == Job.hand_over_id)
        .where(Job.event_id == event.id, Job.state.in_(STRUNG))
        .order_by(Job.started_at, Job.id)
    )
    promised = newest_promises(session, event)
    return [
        row_of(
            StrungRow,
            job,
            player=player,
            racquet_number=number,
            stringer=stringer,
            machine=machine,
            fetched_at=fetched_at,
            promised_at=promised.get(job.id),
            late_min=_late_min(job),
            standing="" if job.finished_at is None else standing(job.finished_at, job.needed_by_at, job.latest_at),
        )
        for job, player, number, stringer, machine, fetched_at in found
    ]


def late_and_tight_strung(session: Session, event: Event) -> Counter[str]:
    """Return how many racquets were strung late, and how many tight."""
    of_job = (Job.finished_at, Job.needed_by_at, Job.latest_at)
    found = select(*of_job).where(Job.event_id == event.id, Job.state.in_(STRUNG), Job.finished_at > Job.needed_by_at)
    return Counter(standing(*row) for row in session.execute(found))


def _late_min(job: Job) -> int:
    return 0 if job.finished_at is None else minutes_late(job.finished_at, job.needed_by_at, job.latest_at)
