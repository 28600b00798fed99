"""Racquets of which somebody said that they matter most or follow to the court, and the racquets of one match."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from desk.models import OPEN_STATES, Assignment, Event, Job, Player, Racquet
from desk.queries.row_making import row_of
from desk.trade.play.needed_by import FIRST, Standing, minutes_late, standing


@dataclass(frozen=True, kw_only=True)
class SaidRacquet:
    """An open racquet with what was said of it: `matters` is first, later or nothing; its end in the plan in force."""

    job_id: int
    code: str
    player_id: int
    player: str
    racquet_number: int
    match_id: int | None
    state: str
    on_court: bool
    matters: str
    needed_by_at: datetime | None
    planned_end_at: datetime | None
    standing: Standing
    late_min: int

    @property
    def may_be_said(self) -> bool:
        """Whether something can be said of it still."""
        return self.state in ("waiting", "held") and not self.on_court and self.needed_by_at is not None


def said_racquets(session: Session, event: Event) -> list[SaidRacquet]:
    """Return the open racquets of which something was said."""
    return _rows(session, event, Job.matters != "")


def racquets_of_match(session: Session, event: Event, match_id: int) -> list[SaidRacquet]:
    """Return the open racquets for a match, a player's beside one another."""
    return _rows(session, event, Job.match_id == match_id)


def bags_of_player(session: Session, event: Event, player_id: int) -> list[SaidRacquet]:
    """Return the player's racquets of which it can be said that one comes before another."""
    rows = [one for one in _rows(session, event, Job.player_id == player_id) if one.may_be_said]
    bags = Counter(one.match_id for one in rows)
    return [one for one in rows if one.matters or bags[one.match_id] > 1]


def beyond_one_each(session: Session, event: Event, match_id: int) -> list[SaidRacquet]:
    """Return the racquets for a match that could follow to the court: all but one of each player who has none yet."""
    had = select(Job.player_id).where(Job.event_id == event.id, Job.match_id == match_id)
    served = set(session.scalars(had.where(Job.state.in_(("on_machine", "strung", "handed_over")))))
    rest = []
    for one in sorted(racquets_of_match(session, event, match_id), key=lambda one: one.matters != FIRST):
        if one.player_id not in served:
            served.add(one.player_id)
        elif one.may_be_said and not one.matters:
            rest.append(one)
    return rest


def said_racquet(session: Session, event: Event, job_id: int) -> SaidRacquet | None:
    """Return one racquet while it is open."""
    return next(iter(_rows(session, event, Job.id == job_id)), None)


def _rows(session: Session, event: Event, condition: ColumnElement[bool]) -> list[SaidRacquet]:
    planned = (Assignment.job_id == Job.id) & (Assignment.run_id == (event.current_run_id or 0))
    found = (
        select(Job, Player.called, Racquet.number, Assignment.end_at)
        .join(Player, Player.id == Job.player_id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .outerjoin(Assignment, planned)
        .where(Job.event_id == event.id, Job.state.in_(OPEN_STATES), condition)
        .order_by(Player.name, Job.player_id, Racquet.number, Job.serial)
    )
    return [_row(*row) for row in session.execute(found)]


def _row(job: Job, player: str, number: int, end_at: datetime | None) -> SaidRacquet:
    times = (job.needed_by_at, job.latest_at)
    return row_of(
        SaidRacquet,
        job,
        job_id=job.id,
        player=player,
        racquet_number=number,
        planned_end_at=end_at,
        standing="" if end_at is None else standing(end_at, *times),
        late_min=0 if end_at is None else minutes_late(end_at, *times),
    )
