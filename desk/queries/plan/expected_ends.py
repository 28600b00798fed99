"""What is expected back while nobody has said that it is: machines, stringers, play after rain."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from sqlalchemy import Select, exists, literal, null, select, union_all
from sqlalchemy.orm import Session

from desk.models import Absence, Event, Machine, Match, MatchChange, Outage, PlayStop, Stringer
from desk.trade.play.expected import moved_on_at, still_expected

Kind = Literal["machine", "stringer", "play"]


@dataclass(frozen=True, kw_only=True)
class Expected:
    """A machine, a stringer or play (without a number) that is to be back at `at`, as somebody said."""

    kind: Kind
    subject_id: int | None
    name: str
    at: datetime


@dataclass(frozen=True, kw_only=True)
class Overdue(Expected):
    """One that was to be back and of which nobody said so; it is counted with from `counted_at`."""

    counted_at: datetime


def expected(session: Session, event: Event) -> list[Expected]:
    """Return all that is expected back, in one statement."""
    found = union_all(_machines(event), _stringers(event), _play(event))
    rows = session.execute(found)
    return [Expected(kind=kind, subject_id=subject_id, name=name, at=at) for kind, subject_id, name, at in rows]


def _machines(event: Event) -> Select:
    return (
        select(literal("machine"), Machine.id, Machine.name, Outage.to_at)
        .join(Machine, Machine.id == Outage.machine_id)
        .where(Machine.event_id == event.id, Outage.over.is_(False), Outage.to_at.is_not(None))
    )


def _stringers(event: Event) -> Select:
    return (
        select(literal("stringer"), Stringer.id, Stringer.name, Absence.to_at)
        .join(Stringer, Stringer.id == Absence.stringer_id)
        .where(Stringer.event_id == event.id, Absence.over.is_(False), Absence.to_at.is_not(None))
    )


def _play(event: Event) -> Select:
    """Play after a stop, until a match has begun or gone on: that says it by itself."""
    began = exists().where(Match.event_id == event.id, Match.started_at >= PlayStop.resumes_at)
    went_on = (
        exists()
        .where(MatchChange.match_id == Match.id, Match.event_id == event.id, MatchChange.to_state == "on_court")
        .where(MatchChange.at >= PlayStop.resumes_at)
    )
    return select(literal("play"), null(), literal("Play"), PlayStop.resumes_at).where(
        PlayStop.event_id == event.id, PlayStop.over.is_(False), PlayStop.resumes_at.is_not(None), ~began, ~went_on
    )


def overdue(session: Session, event: Event, at: datetime) -> list[Overdue]:
    """Return what was to be back by AT while nobody said so, the longest ago first."""
    late = sorted((one for one in expected(session, event) if one.at <= at), key=lambda one: (one.at, one.name))
    return [Overdue(**vars(one), counted_at=still_expected(one.at, at) or at) for one in late]


def moved_on(session: Session, event: Event, at: datetime) -> datetime | None:
    """Return when an expectation last passed unheard, up to AT."""
    passed = (moved_on_at(one.at, at) for one in expected(session, event))
    return max((one for one in passed if one is not None), default=None)
