"""Needed-by times: from the order of play and the present moment, for every open racquet at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import select, update
from sqlalchemy.orm import Session
from sqlalchemy.orm.attributes import set_committed_value

from desk.models import OPEN_STATES, Event, Job
from desk.queries.play.bags import Bags, in_order
from desk.queries.play.forecasts import forecast_event
from desk.queries.play.moved_racquets import RELAXED, URGENT
from desk.queries.play.next_match import NeededBy, NeededByFinder, Racquet
from desk.services.acting import Acting, note_change, write_log
from desk.trade.play.needed_by import LATER, urgency

WORTH_TELLING_MINUTES = 10


@dataclass(frozen=True, kw_only=True)
class NeededByChange:
    """The needed-by time of one job moved; None stands for no time."""

    job: Job
    before: datetime | None
    after: datetime | None
    weight_before: int
    weight_after: int
    why: str

    @property
    def _kinds(self) -> tuple[int, int]:
        return urgency(self.weight_before), urgency(self.weight_after)

    @property
    def is_of_another_kind(self) -> bool:
        """Whether it is for a match in play, a match to come or practice, and was not before."""
        return self._kinds[0] != self._kinds[1]

    @property
    def is_urgent(self) -> bool:
        """Whether the racquet is needed sooner, or is more urgent in kind; else it is relaxed."""
        if self.is_of_another_kind:
            return self._kinds[1] > self._kinds[0]
        if self.after is None or self.before is None:
            return self.before is None
        return self.after < self.before

    @property
    def worth_telling(self) -> bool:
        """Whether the desk should hear of it: another urgency, or ten minutes and more."""
        if self.is_of_another_kind or (self.before is None) != (self.after is None):
            return True
        if self.before is None or self.after is None:
            return False
        return abs((self.after - self.before).total_seconds()) >= WORTH_TELLING_MINUTES * 60


def refresh_needed_by(session: Session, event: Event, *, at: datetime) -> list[NeededByChange]:
    """Bring the needed-by time of every open job up to AT, and return those whose time or weight moved.

    The number of SQL statements does not depend on the number of jobs.
    """
    finder, bags = NeededByFinder(forecast_event(session, event, at)), Bags(session, event)
    jobs = session.scalars(select(Job).where(Job.event_id == event.id, Job.state.in_(OPEN_STATES)).order_by(Job.id))
    changes: list[NeededByChange] = []
    rows: list[dict[str, object]] = []
    for job in in_order(jobs):
        need, matters = _need(finder, job)
        values: dict[str, Any] = {
            "needed_by_at": need.at,
            "latest_at": need.latest or need.at,
            "needed_by_why": need.why,
            "match_id": need.match_id,
            "matters": matters,
            "weight": bags.weight(job.player_id, need, matters),
        }
        if any(getattr(job, name) != value for name, value in values.items()):
            weights = {"weight_before": job.weight, "weight_after": values["weight"]}
            changes.append(NeededByChange(job=job, before=job.needed_by_at, after=need.at, why=need.why, **weights))
            rows.append({"id": job.id, **values})
            for name, value in values.items():
                set_committed_value(job, name, value)
    if rows:
        session.execute(update(Job), rows, execution_options={"synchronize_session": False})
        note_change(event, plan=False)
    return [change for change in changes if _moved(change)]


def needed_by_for(
    session: Session,
    event: Event,
    player_id: int,
    *,
    kind: str,
    fixed_at: datetime | None = None,
    at: datetime,
    not_before_at: datetime | None = None,
) -> NeededBy:
    """Return by when a racquet dropped off AT would be needed; KIND is match, time, none or on_court."""
    racquet = Racquet(player_id=player_id, kind=kind, dropped_at=at, fixed_at=fixed_at, not_before_at=not_before_at)
    return NeededByFinder(forecast_event(session, event, at)).of(racquet)


def play_changed(session: Session, event: Event, acting: Acting, text: str) -> list[NeededByChange]:
    """Finish a change of play: needed-by times, the log, and the counter by which the planner plans again."""
    session.flush()
    changes = refresh_needed_by(session, event, at=acting.at)
    write_log(session, event, acting, "play", text)
    for change in changes:
        if change.worth_telling:
            subject = URGENT if change.is_urgent else RELAXED
            write_log(session, event, acting, subject, f"{text}. {change.why}", job_id=change.job.id)
    note_change(event)
    return changes


def _need(finder: NeededByFinder, job: Job) -> tuple[NeededBy, str]:
    """What was said of a racquet holds for the match that it was said for."""
    need = finder.of(_racquet(job))
    if not job.matters or job.needed_by_kind != "match" or need.match_id == job.match_id:
        return need, job.matters
    return finder.of(replace(_racquet(job), follows=False)), ""


def _racquet(job: Job) -> Racquet:
    return Racquet(
        player_id=job.player_id,
        kind="on_court" if job.on_court else job.needed_by_kind,
        dropped_at=job.wanted_since,
        fixed_at=job.needed_by_at,
        not_before_at=job.not_before_at,
        fixed_why=job.needed_by_why if job.needed_by_kind == "time" else "",
        follows=job.matters == LATER,
    )


def _moved(change: NeededByChange) -> bool:
    return change.before != change.after or change.is_of_another_kind
