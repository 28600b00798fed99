"""All courts stop, play resumes, and either of the two taken back."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, Match, PlayStop
from desk.queries.play.play_records import IN_PLAY, read_play
from desk.services.acting import Acting, lock_event
from desk.services.play.match_states import change_state
from desk.services.play.needed_by import NeededByChange, play_changed


def stop_play(session: Session, event_id: int, *, acting: Acting, reason: str = "rain") -> list[NeededByChange]:
    """Stop play on all courts: every match in play is suspended, until a time is named."""
    event = lock_event(session, event_id)
    if read_play(session, event).stop_at(acting.at) is not None:
        raise Conflict("Play is stopped already; say when it resumes.")
    session.add(PlayStop(event_id=event_id, from_at=acting.at, reason=reason.strip() or "rain", by=acting.by))
    for match in _matches(session, event, "on_court"):
        change_state(session, match, "suspended", at=acting.at, acting=acting)
    return play_changed(session, event, acting, f"Play stopped on all courts ({reason.strip() or 'rain'})")


def resume_play(
    session: Session, event_id: int, *, acting: Acting, resumes_at: datetime | None = None
) -> list[NeededByChange]:
    """Say when play goes on: now (every match that the stop suspended is on court again), or later.

    Until a match is played, another time can be named, also after the first has come and gone. Matches
    then go on one by one as they are resumed, or all at once by calling this without a time.
    """
    event = lock_event(session, event_id)
    records = read_play(session, event)
    stop = records.awaited_stop(acting.at)
    if stop is None:
        raise Conflict("Play is not stopped.")
    at = resumes_at or acting.at
    if at < acting.at:
        raise BadInput("Play cannot resume in the past; leave the time empty for now.", fields={"at": "is past"})
    stop.resumes_at, stop.over = at, at == acting.at
    if at == acting.at:
        _play_on(session, event, stop, acting)
    words = "now" if at == acting.at else f"at {records.clock.local(at):%H:%M}"
    return play_changed(session, event, acting, f"Play resumes {words}")


def take_back_stop(session: Session, event_id: int, *, acting: Acting) -> list[NeededByChange]:
    """Take back what was last said for all courts: "play resumes", or else the stop with all that it suspended.

    Refused when a match was played since.
    """
    event = lock_event(session, event_id)
    stop = read_play(session, event).stop_to_take_back(acting.at)
    if stop is None:
        raise Conflict("There is nothing to take back for all courts; a match was played since.")
    if stop.resumes_at is not None:
        _undo(session, event, "on_court", stop.resumes_at)
        stop.resumes_at, stop.over = None, False
        return play_changed(session, event, acting, "'Play resumes' taken back, play is stopped on all courts")
    _undo(session, event, "suspended", stop.from_at)
    session.delete(stop)
    return play_changed(session, event, acting, "'Play stopped on all courts' taken back")


def _matches(session: Session, event: Event, *states: str) -> list[Match]:
    found = select(Match).where(Match.event_id == event.id, Match.state.in_(states)).order_by(Match.id)
    return list(session.scalars(found))


def _undo(session: Session, event: Event, state: str, at: datetime) -> None:
    """Take back the changes to STATE that were made for all courts AT; a match whose court was taken stays."""
    taken = {match.court_id for match in _matches(session, event, "on_court")} if state == "suspended" else set()
    for match in _matches(session, event, state):
        if match.court_id in taken:
            continue
        last = match.changes[-1] if match.changes else None
        if last is not None and last.to_state == state and last.at == at and last.from_state in IN_PLAY:
            match.state = last.from_state
            match.changes.remove(last)


def _play_on(session: Session, event: Event, stop: PlayStop, acting: Acting) -> None:
    """Put the matches that the stop suspended back on court; one whose court was taken meanwhile waits."""
    matches = _matches(session, event, "on_court", "suspended")
    taken = {match.court_id for match in matches if match.state == "on_court"}
    for match in matches:
        since = max((change.at for change in match.changes if not change.is_move), default=stop.from_at)
        if match.state == "suspended" and since >= stop.from_at and match.court_id not in taken:
            change_state(session, match, "on_court", at=acting.at, acting=acting)
