"""What was due, counted a second time by the database from the records themselves."""

from __future__ import annotations

from sqlalchemy import ColumnElement, and_, case, exists, func, or_, select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Match, MatchSide, Promise, StateChange
from desk.queries.close.facts import TAKEN_BACK
from desk.queries.close.span import UsageSpan


def on_time(session: Session, event: Event, span: UsageSpan) -> int:
    """Racquets strung by the needed-by time of the records, but for those without which a match began."""
    found = select(func.count(Job.id)).where(
        Job.event_id == event.id, Job.finished_at <= Job.needed_by_at, span.within(Job.finished_at), ~_began_without()
    )
    return (session.scalar(found) or 0) - _came_too_late_from_court(session, event, span)


def _began_without() -> ColumnElement[bool]:
    """Whether a match that the racquet was dropped off for began without it, before a call from the court too."""
    begun = and_(
        MatchSide.player_id == Job.player_id,
        Match.id == MatchSide.match_id,
        Match.state != "walkover",
        Match.started_at < Job.finished_at,
    )
    dropped_for_it = and_(
        or_(Job.on_court.is_(False), Match.started_at <= Job.called_at),
        Job.needed_by_kind == "match",
        Match.started_at > Job.dropped_at,
        or_(Job.not_before_at.is_(None), Match.started_at > Job.not_before_at),
    )
    return exists().where(begun, dropped_for_it).correlate(Job)


def _came_too_late_from_court(session: Session, event: Event, span: UsageSpan) -> int:
    """Racquets from a match in play that was still on when they were needed; strung for a later match only."""
    since = func.coalesce(Job.called_at, Job.dropped_at)
    found = (
        select(Job.id, since, Job.finished_at, Match.ended_at)
        .join(MatchSide, MatchSide.player_id == Job.player_id)
        .join(Match, Match.id == MatchSide.match_id)
        .where(Job.event_id == event.id, Job.on_court, Match.started_at <= since, Match.state != "walkover")
        .where(Job.finished_at <= Job.needed_by_at, span.within(Job.finished_at), ~_began_without())
    )
    return len(
        {
            job_id
            for job_id, dropped_at, finished_at, ended_at in session.execute(found)
            if (finished_at - dropped_at).total_seconds() > 60 * event.on_court_minutes
            and (ended_at is None or (ended_at - dropped_at).total_seconds() > 60 * event.on_court_minutes)
        }
    )


def promises(session: Session, event: Event, span: UsageSpan) -> tuple[int, int]:
    """First promises that fell due, and those that were kept."""
    first = (
        select(func.min(Promise.id))
        .join(Job, Job.id == Promise.job_id)
        .where(Job.event_id == event.id)
        .group_by(Promise.job_id)
    )
    cancelled_at = (
        select(func.max(StateChange.at)).where(StateChange.job_id == Job.id, StateChange.to_state == "cancelled")
    ).scalar_subquery()
    gone_at = case((Job.state == "cancelled", cancelled_at))
    fell_at = _earliest(Promise.ready_at, Job.finished_at, gone_at)
    undone = exists().where(
        StateChange.job_id == Job.id, StateChange.to_state == "cancelled", StateChange.note == TAKEN_BACK
    )
    kept = func.coalesce(func.sum(case((Job.finished_at <= Promise.ready_at, 1), else_=0)), 0)
    found = (
        select(func.count(Promise.id), kept)
        .join(Job, Job.id == Promise.job_id)
        .where(Promise.id.in_(first), span.within(fell_at), fell_at <= span.end_at)
        .where(or_(Job.state != "cancelled", ~undone))
    )
    made, in_time = session.execute(found).one()
    return int(made), int(in_time)


def _earliest(first: ColumnElement, *others: ColumnElement) -> ColumnElement:
    for other in others:
        first = case((other < first, other), else_=first)
    return first
