"""The desk's log and the history of one job, to read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Job, LogEntry, Promise, StateChange

PAGE = 100


@dataclass(frozen=True, kw_only=True)
class LogLine:
    """One line of the log, with the tag of the job that it is about."""

    id: int
    at: datetime
    by: str
    subject: str
    text: str
    job_code: str


def log_lines(
    session: Session, event: Event, *, words: str = "", subject: str = "", before_id: int | None = None
) -> list[LogLine]:
    """Return the newest lines that hold every one of WORDS, one more than a page where there are more."""
    found = (
        select(LogEntry, Job.code)
        .outerjoin(Job, Job.id == LogEntry.job_id)
        .where(LogEntry.event_id == event.id)
        .order_by(LogEntry.id.desc())
        .limit(PAGE + 1)
    )
    for word in words.split():
        held = LogEntry.text.icontains(word, autoescape=True) | LogEntry.by.icontains(word, autoescape=True)
        found = found.where(held | (Job.code == word.upper()))
    if subject:
        found = found.where(LogEntry.subject == subject)
    if before_id is not None:
        found = found.where(LogEntry.id < before_id)
    return [
        LogLine(id=line.id, at=line.at, by=line.by, subject=line.subject, text=line.text, job_code=code or "")
        for line, code in session.execute(found)
    ]


def log_subjects(session: Session, event: Event) -> list[str]:
    """Return the subjects that the event's log speaks of."""
    found = select(LogEntry.subject).where(LogEntry.event_id == event.id).distinct().order_by(LogEntry.subject)
    return list(session.scalars(found))


def state_changes(session: Session, job_id: int) -> Sequence[StateChange]:
    return session.scalars(select(StateChange).where(StateChange.job_id == job_id).order_by(StateChange.id)).all()


def promises(session: Session, job_id: int) -> Sequence[Promise]:
    return session.scalars(select(Promise).where(Promise.job_id == job_id).order_by(Promise.id)).all()
