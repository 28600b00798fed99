"""Sending what waits, so that nothing is sent twice: marked before, settled afterwards, no transaction between.

A message that was marked and not settled, because the sender was killed, is uncertain: it may have arrived, so nobody
sends it again but a person who says so.
"""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Event, Word, WordSender, WordWay
from desk.queries.play.play_records import clock_of
from desk.queries.word.letters import Letter, write_letter
from desk.queries.word.words import OCCASION_WORDS, TROUBLED
from desk.services.acting import Acting, lock_and_find, lock_event, log_change, note_change, write_log
from desk.services.word.word_ways import GONE, WORDS, end_way
from desk.services.word.words import CUT_OFF, OVERTAKEN, SAYS_NOTHING, still_true
from desk.trade.worth_telling import LONGEST_WAIT, PAUSES, goes_at, may_go, next_try

SENDER = "sender"
BY_ITSELF = "the desk"
GIVEN_UP = "given up"


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What became of one try: sent, again (it did not go and may be tried again), failed, uncertain or gone.

    `why` holds no address; `after` is for how long the other side asked to wait.
    """

    state: str
    why: str = ""
    after: timedelta | None = None


def hold_lease(session: Session, holder: str, *, real_now: datetime, seconds: float) -> bool:
    """Take or renew the right to send; False when another sender has it.

    Whoever takes it anew settles what the one before left in the middle of sending.
    """
    row = session.scalar(select(WordSender).where(WordSender.name == SENDER).with_for_update())
    until = real_now + timedelta(seconds=seconds)
    if row is None:
        row = WordSender(name=SENDER, holder="", until_at=real_now)
        session.add(row)
    elif row.holder not in ("", holder) and real_now < row.until_at <= until + timedelta(seconds=seconds):
        return False
    if row.holder != holder:
        for word in session.scalars(select(Word).where(Word.state == "sending")):
            word.state, word.why = "uncertain", CUT_OFF
    row.holder, row.until_at, row.beats = holder, until, (row.beats or 0) + 1
    session.flush()
    return True


def give_up_lease(session: Session, holder: str) -> None:
    """Let another sender begin at once."""
    row = session.scalar(select(WordSender).where(WordSender.name == SENDER, WordSender.holder == holder))
    if row is not None:
        row.holder = ""


def open_events(session: Session) -> Sequence[Event]:
    """Return the events whose words are sent: open ones on the real clock. The demo tells nobody."""
    return session.scalars(select(Event).where(Event.status == "open", Event.clock_real_at.is_(None))).all()


def due_ways(session: Session, event: Event, *, real_now: datetime) -> list[int]:
    """Return the ways by which something is to be sent now, the one that waited longest first; at night none."""
    if not may_go(clock_of(session, event).local(real_now), event.word_from_hour, event.word_until_hour):
        return []
    waiting = select(Word).where(Word.event_id == event.id, Word.state == "waiting").order_by(Word.id)
    by_way: dict[int, list[Word]] = {}
    for word in session.scalars(waiting):
        by_way.setdefault(word.way_id, []).append(word)
    return [way_id for way_id, words in by_way.items() if _is_due(words, real_now)]


def _is_due(words: Sequence[Word], now: datetime) -> bool:
    """Tell whether the words of one way go now; a pause that is longer than any can be was made by a clock set back."""
    paused = [word.next_at for word in words if word.next_at is not None]
    if paused:
        return not now < max(paused) <= now + PAUSES[-1]
    at = goes_at([word.at for word in words])
    return not now < at <= now + LONGEST_WAIT


def begin_letter(session: Session, event_id: int, way_id: int, *, real_now: datetime) -> Letter | None:
    """Mark all that waits for one way as being sent, and return it as one message; None when nothing is left of it."""
    event = lock_event(session, event_id)
    way = session.get_one(WordWay, way_id)
    mine = Word.way_id == way.id, Word.state == "waiting"
    words = []
    for word in session.scalars(select(Word).where(*mine).order_by(Word.id)):
        why = SAYS_NOTHING if not event.tells_anybody else "" if still_true(session, word) else OVERTAKEN
        if why or way.ended_at is not None:
            word.state, word.why, word.next_at = "dropped", why or way.ended_why, None
        else:
            words.append(word)
    if not words:
        return None
    token = secrets.token_urlsafe(12)
    for word in words:
        word.state, word.letter, word.tried_at, word.tries = "sending", token, real_now, word.tries + 1
        word.next_at = None
    session.flush()
    return write_letter(session, event, way, words, real_now)


def settle_letter(session: Session, event_id: int, token: str, outcome: Outcome, *, real_now: datetime) -> None:
    """Keep what became of a message; what did not go waits for its next try, or has failed."""
    event = lock_event(session, event_id)
    under_way = Word.letter == token, Word.state.in_(("sending", "uncertain"))
    words = session.scalars(select(Word).where(*under_way).order_by(Word.id)).all()
    if not words:
        return
    way = words[0].way
    state, next_at = "dropped" if outcome.state == "gone" else outcome.state, None
    if outcome.state == "again":
        next_at = next_try(max(word.tries for word in words), real_now, outcome.after)
        state = "waiting" if next_at is not None else "failed"
    for word in words:
        word.state, word.why, word.next_at = state, outcome.why, next_at
    if outcome.state == "gone" and way.ended_at is None:
        end_way(session, way, real_now, GONE)
    _log(session, event, way, words, state, outcome.why, real_now)
    note_change(event, plan=False)


def _log(
    session: Session, event: Event, way: WordWay, words: Sequence[Word], state: str, why: str, at: datetime
) -> None:
    if state == "waiting":
        return
    codes = ", ".join(dict.fromkeys(f"{word.job.code} {OCCASION_WORDS[word.occasion]}" for word in words))
    told = {"sent": "was told", "uncertain": "may have been told"}.get(state, "could not be told")
    text = f"{way.called} {told} {WORDS[way.kind]}: {codes}{f' ({why})' if why else ''}"
    write_log(session, event, Acting(by=BY_ITSELF, at=at), "word", text)


def try_again(session: Session, event_id: int, word_id: int, *, acting: Acting) -> Word:
    """Send once more what failed or may not have arrived, with all that was in the same message, at once.

    Refused when it was sent or waits, its way has ended, or what it says is no longer true.
    """
    event, word = lock_and_find(session, event_id, Word, word_id, "word")
    if word.state not in TROUBLED:
        raise Conflict(f"This word is {word.state}; only one that failed or may not have arrived is sent again.")
    if word.way.ended_at is not None:
        raise Conflict(f"{word.way.called} is told {WORDS[word.way.kind]} no more; nothing can be sent there.")
    again = [one for one in _of_letter(session, word) if still_true(session, one)]
    if not again:
        raise Conflict("What it says is no longer true, so it is not sent. Give it up instead.")
    for one in again:
        one.state, one.tries, one.next_at, one.why = "waiting", 0, acting.at, ""
    log_change(session, event, acting, f"Word to {word.way.called} is sent again", subject="word", plan=False)
    return word


def give_up(session: Session, event_id: int, word_id: int, *, acting: Acting) -> Word:
    """Send a word no more, with all that is in the same message: it failed, is uncertain, or waits."""
    event, word = lock_and_find(session, event_id, Word, word_id, "word")
    if word.state not in (*TROUBLED, "waiting"):
        raise Conflict(f"This word is {word.state}; there is nothing to give up.")
    for one in _of_letter(session, word):
        one.state, one.next_at = "dropped", None
        one.why = f"{one.why}; {GIVEN_UP} by {acting.by}".removeprefix("; ")
    log_change(session, event, acting, f"Word to {word.way.called} is given up", subject="word", plan=False)
    return word


def _of_letter(session: Session, word: Word) -> Sequence[Word]:
    """Return the words that went, or wait, together with this one."""
    if not word.letter:
        return [word]
    return session.scalars(select(Word).where(Word.letter == word.letter, Word.state == word.state)).all()
