"""What was told, waits or failed, message by message, and what was told of one racquet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import String, cast, func, select
from sqlalchemy.orm import Session, joinedload

from desk.models import Event, Job, Word, WordSender, WordWay
from desk.queries.play.play_records import clock_of
from desk.queries.row_making import grouped
from desk.trade.worth_telling import goes_at, may_go

TROUBLED = ("failed", "uncertain")
SHOWN = 60
OCCASION_WORDS = {
    "ready": "ready",
    "later": "later",
    "sooner": "sooner",
    "late": "late",
    "held": "on hold",
    "taken_back": "not ready after all",
}
"""Every occasion of a word, as a person says it."""


@dataclass(frozen=True, kw_only=True)
class Message:
    """One message: to whom by which way, what of which racquets, how far it is.

    `at` is when it was last tried, or when what it tells happened; `goes_at` when it goes, None while it is night.
    """

    word_id: int
    name: str
    kind: str
    told: tuple[tuple[str, str], ...]
    state: str
    why: str
    tries: int
    at: datetime
    goes_at: datetime | None
    is_open: bool


@dataclass(frozen=True, kw_only=True)
class WordPage:
    """What needs somebody, what waits, and the newest of the rest."""

    troubles: tuple[Message, ...]
    waiting: tuple[Message, ...]
    done: tuple[Message, ...]
    ways: int
    tells: bool
    from_hour: int
    until_hour: int


def word_page(session: Session, event: Event, at: datetime) -> WordPage:
    """Return the messages of an event at AT; the number of SQL statements is fixed."""
    night = not may_go(clock_of(session, event).local(at), event.word_from_hour, event.word_until_hour)
    newest = _messages(session, Word.event_id == event.id, Word.state.in_(("sent", "dropped", "sending")), limit=SHOWN)
    in_use = select(func.count()).select_from(WordWay).where(WordWay.event_id == event.id, WordWay.ended_at.is_(None))
    return WordPage(
        troubles=_messages(session, Word.event_id == event.id, Word.state.in_(TROUBLED)),
        waiting=_messages(session, Word.event_id == event.id, Word.state == "waiting", night=night),
        done=tuple(sorted(newest, key=lambda message: message.at, reverse=True)),
        ways=session.scalar(in_use) or 0,
        tells=event.tells_anybody,
        from_hour=event.word_from_hour,
        until_hour=event.word_until_hour,
    )


def _messages(session: Session, *which: object, limit: int = 500, night: bool = False) -> tuple[Message, ...]:
    ways = joinedload(Word.way)
    found = select(Word).where(*which).order_by(Word.id.desc()).limit(limit)  # type: ignore[arg-type]
    loaded = found.options(joinedload(Word.job), ways.joinedload(WordWay.player), ways.joinedload(WordWay.contact))
    together = grouped(
        ((word.way_id, word.state, word.letter or (word.state != "waiting" and word.id)), word)
        for word in session.scalars(loaded)
    )
    return tuple(_message(words[::-1], night) for words in together.values())


def _message(words: Sequence[Word], night: bool) -> Message:
    first = words[0]
    tried = [word.tried_at for word in words if word.tried_at is not None]
    paused = [word.next_at for word in words if word.next_at is not None]
    goes = max(paused) if paused else goes_at([word.at for word in words])
    return Message(
        word_id=first.id,
        name=first.way.called,
        kind=first.way.kind,
        told=tuple(dict.fromkeys((word.job.code, OCCASION_WORDS[word.occasion]) for word in words)),
        state=first.state,
        why=first.why,
        tries=max(word.tries for word in words),
        at=max(tried) if tried else max(word.at for word in words),
        goes_at=None if night else goes,
        is_open=first.way.ended_at is None,
    )


def messages_of(session: Session, job_id: int) -> tuple[Message, ...]:
    """Return what was told, or is to be told, of one racquet, the oldest first; what was dropped is left out."""
    return _messages(session, Word.job_id == job_id, Word.state != "dropped")[::-1]


def troubled_words(session: Session, event: Event) -> int:
    """Return how many messages failed or may not have arrived."""
    one = func.coalesce(func.nullif(Word.letter, ""), cast(Word.id, String))
    found = select(func.count(func.distinct(one))).where(Word.event_id == event.id, Word.state.in_(TROUBLED))
    return session.scalar(found) or 0


def told_of(session: Session, player_ids: Sequence[int]) -> dict[int, tuple[tuple[str, datetime], ...]]:
    """Return for each racquet of these players by which ways its player was told of it, and when last."""
    found = (
        select(Word.job_id, WordWay.kind, func.max(Word.tried_at))
        .join(WordWay, WordWay.id == Word.way_id)
        .join(Job, Job.id == Word.job_id)
        .where(WordWay.player_id.in_(player_ids), Word.state == "sent")
        .group_by(Word.job_id, WordWay.kind)
        .order_by(WordWay.kind)
    )
    told = grouped((job_id, (kind, at)) for job_id, kind, at in session.execute(found))
    return {job_id: tuple(ways) for job_id, ways in told.items()}


def sender_beats(session: Session) -> int:
    """Return how often the sender's heart has beaten."""
    return session.scalar(select(func.coalesce(func.sum(WordSender.beats), 0))) or 0
