"""Noting what is to be told, in the transaction of the change that causes it; the sender does the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import exists, select
from sqlalchemy.orm import Session

from desk.models import ContactPlayer, Event, Job, Promise, StateChange, Word, WordWay
from desk.queries.word.word_ways import who_wants
from desk.services.word.word_ways import ensure_contacts
from desk.services.word.words import DEMO, OVERTAKEN, still_true
from desk.trade.worth_telling import LATE_AFTER, changed

TOLD = ("sending", "sent", "uncertain")
"""What counts as known to the person."""


@dataclass(frozen=True, kw_only=True)
class _Cause:
    """What happened to a racquet: the state change or promise, when, and which ready time it is about."""

    id: int
    at: datetime
    ready_at: datetime | None = None


def note_state_change(session: Session, job: Job, change: StateChange, *, is_undone: bool) -> None:
    """Note what a new state of a racquet tells: ready, held, or not ready after all."""
    event, ways = _who_listens(session, job, change.at)
    if not ways:
        return
    _drop_untrue(session, job)
    cause = _Cause(id=change.id, at=change.at)
    if job.state == "strung" and not is_undone:
        _add(session, event, ways, job, "ready", cause)
    elif job.state == "held" and not is_undone:
        _add(session, event, ways, job, "held", cause)
    elif change.from_state == "strung" and job.state in ("on_machine", "redo"):
        told = [way for way in ways if _is_told(session, way, job, "ready")]
        _add(session, event, told, job, "taken_back", cause)


def note_new_time(session: Session, job: Job, before: Promise, promise: Promise) -> None:
    """Note a changed ready time to everybody for whom it is worth a word; words that wait are merged with it."""
    event, ways = _who_listens(session, job, promise.given_at)
    for way in ways:
        known_at = _known_at(session, way, job, before.ready_at)
        occasion = changed(known_at, promise.ready_at)
        if occasion:
            cause = _Cause(id=promise.id, at=promise.given_at, ready_at=promise.ready_at)
            _add(session, event, [way], job, occasion, cause, known_at=known_at)
    if ways:
        _drop_untrue(session, job)


def note_late(session: Session, event: Event, at: datetime) -> int:
    """Note every racquet that is not ready as told and of which nobody was told so yet; return how many."""
    if not event.tells_anybody:
        return 0
    count = 0
    asked = exists().where(WordWay.event_id == event.id, WordWay.ended_at.is_(None))
    contacts = exists().where(ContactPlayer.player_id == Job.player_id, ContactPlayer.is_told)
    found = select(Job).where(Job.event_id == event.id, Job.state.in_(("waiting", "on_machine")), asked | contacts)
    for job in session.scalars(found.where(Job.promised_at <= at - LATE_AFTER)):
        promise = job.promises[-1]
        _, ways = _who_listens(session, job, at)
        seen = select(Word.way_id).where(Word.job_id == job.id, Word.occasion == "late", Word.cause_id == promise.id)
        known = set(session.scalars(seen))
        new = [way for way in ways if way.id not in known]
        cause = _Cause(id=promise.id, at=at, ready_at=promise.ready_at)
        _add(session, event, new, job, "late", cause, known_at=promise.ready_at)
        count += len(new)
    return count


def _who_listens(session: Session, job: Job, at: datetime) -> tuple[Event, Sequence[WordWay]]:
    event = session.get_one(Event, job.event_id)
    if not event.tells_anybody:
        return event, []
    ensure_contacts(session, event, job.player_id, at)
    return event, session.scalars(select(WordWay).where(who_wants(job.player_id)).order_by(WordWay.id)).all()


def _add(
    session: Session,
    event: Event,
    ways: Sequence[WordWay],
    job: Job,
    occasion: str,
    cause: _Cause,
    *,
    known_at: datetime | None = None,
) -> None:
    stands = {} if event.clock_real_at is None else {"state": "dropped", "why": DEMO}
    session.add_all(
        Word(
            event_id=event.id,
            way_id=way.id,
            job_id=job.id,
            occasion=occasion,
            cause_id=cause.id,
            at=cause.at,
            known_at=known_at,
            ready_at=cause.ready_at,
            **stands,
        )
        for way in ways
    )
    session.flush()


def _drop_untrue(session: Session, job: Job) -> None:
    for word in session.scalars(select(Word).where(Word.job_id == job.id, Word.state == "waiting")):
        if not still_true(session, word):
            word.state, word.why, word.next_at = "dropped", OVERTAKEN, None


def _is_told(session: Session, way: WordWay, job: Job, occasion: str) -> bool:
    """Tell whether the newest word of this OCCASION reached the way, and was not taken back since."""
    found = select(Word).where(Word.way_id == way.id, Word.job_id == job.id, Word.state.in_(TOLD))
    newest = session.scalar(found.where(Word.occasion.in_((occasion, "taken_back"))).order_by(Word.id.desc()).limit(1))
    return newest is not None and newest.occasion == occasion


def _known_at(session: Session, way: WordWay, job: Job, before_at: datetime) -> datetime:
    """Return the ready time that the person knows: what was told last, else what a word that waits would correct."""
    found = select(Word).where(Word.way_id == way.id, Word.job_id == job.id, Word.occasion.in_(("later", "sooner")))
    known: datetime | None = None
    for word in session.scalars(found.order_by(Word.id.desc())):
        if word.state in TOLD:
            return word.ready_at or before_at
        known = word.known_at or known
    return known or before_at
