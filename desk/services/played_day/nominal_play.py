"""Matches that go as the order of play says, each as long as the median of its format."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from datetime import datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session, selectinload

from desk.errors import DeskError
from desk.models import Event, EventDay, Match, MatchSide, PlayStop
from desk.queries.play.play_records import FORMAT_NAMES, IN_PLAY, OVER
from desk.services.acting import Acting
from desk.services.play import play
from desk.trade.play.match_figures import BETWEEN_MEDIAN_MIN
from desk.trade.play.match_length import length

UMPIRE = "order of play"
SCHEDULED = "scheduled"


class NominalPlay:
    """Starts and ends matches at their nominal times, side 1 wins.

    `left_out` are codes that the files play; in `rainy` spans nothing is played, whatever was expected.
    """

    def __init__(self, event_id: int, left_out: Set[str], rainy: Sequence[tuple[datetime, datetime]] = ()) -> None:
        self.event_id, self.left_out, self.rainy = event_id, left_out, rainy
        self._refused: set[tuple[int, str]] = set()

    def next_at(self, session: Session, now: datetime) -> datetime | None:
        """Return when the next match starts or ends, not before NOW."""
        due = [at for at, _ in self._due(session, now)]
        return max(now, min(due)) if due else None

    def act(self, session: Session, at: datetime) -> list[str]:
        """Start and end the matches that are due AT; return what was refused."""
        refused = []
        for due_at, match in self._due(session, at):
            if due_at > at:
                continue
            acting = Acting(by=UMPIRE, at=at)
            try:
                with session.begin_nested():
                    if match.state == SCHEDULED:
                        play.start_match(session, self.event_id, match.id, acting=acting)
                    else:
                        play.finish_match(session, self.event_id, match.id, acting=acting, winner_side=1)
            except DeskError as error:
                self._refused.add((match.id, match.state))
                refused.append(f"match {match.code}: {error}")
        return refused

    def _due(self, session: Session, now: datetime) -> list[tuple[datetime, Match]]:
        stops = session.scalars(select(PlayStop).where(PlayStop.event_id == self.event_id)).all()
        if any(begin <= now < end for begin, end in self.rainy):
            return []
        if any(stop.from_at <= now and (stop.resumes_at is None or stop.resumes_at > now) for stop in stops):
            return []
        event = session.get_one(Event, self.event_id)
        matches = _matches_until(session, self.event_id, now)
        ended_before = _ended_before(session, self.event_id, matches)
        due = []
        for number, match in enumerate(matches):
            if match.code in self.left_out:
                continue
            if match.state == "on_court":
                at = _end(match, stops, now)
            else:
                at = _start(event, match, matches[:number], ended_before)
            if at is not None and (match.id, match.state) not in self._refused:
                due.append((at, match))
        return sorted(due, key=lambda pair: (pair[0], pair[1].id))


def _matches_until(session: Session, event_id: int, now: datetime) -> Sequence[Match]:
    """Return the matches of days that have begun, in the order of play, from the first day that is not played out."""
    begun = (Match.event_id == event_id, EventDay.opens_at <= now)
    with_day = select(func.min(EventDay.date)).join(Match, Match.day_id == EventDay.id)
    first_open = session.scalar(with_day.where(*begun, Match.state.not_in(OVER)))
    if first_open is None:
        return []
    found = (
        select(Match)
        .join(EventDay, EventDay.id == Match.day_id)
        .where(*begun, EventDay.date >= first_open)
        .options(selectinload(Match.sides))
        .order_by(EventDay.date, Match.position, Match.court_id)
    )
    return session.scalars(found).all()


def _ended_before(session: Session, event_id: int, matches: Sequence[Match]) -> dict[int, datetime]:
    """Return when each player's last match ended on the days before the first of MATCHES."""
    if not matches:
        return {}
    first = select(EventDay.date).where(EventDay.id == matches[0].day_id).scalar_subquery()
    found = (
        select(MatchSide.player_id, func.max(Match.ended_at))
        .join(Match, Match.id == MatchSide.match_id)
        .join(EventDay, EventDay.id == Match.day_id)
        .where(Match.event_id == event_id, EventDay.date < first, MatchSide.player_id.is_not(None))
        .group_by(MatchSide.player_id)
    )
    return {player_id: at for player_id, at in session.execute(found) if at is not None}


def _end(match: Match, stops: Sequence[PlayStop], now: datetime) -> datetime | None:
    if match.started_at is None:
        return None
    end = match.started_at + timedelta(minutes=length(FORMAT_NAMES[match.format]).point(0.5))
    for stop in stops:
        if match.started_at < stop.from_at < end:
            end += (stop.resumes_at or now) - stop.from_at
    return end


def _start(
    event: Event, match: Match, before: Sequence[Match], ended_before: Mapping[int, datetime]
) -> datetime | None:
    """Return when a match can start; None while its court or a player is not free or not known."""
    if match.state != SCHEDULED or not match.sides or any(side.player_id is None for side in match.sides):
        return None
    players = {side.player_id for side in match.sides}
    rest = timedelta(minutes=event.rest_minutes)
    times = [ended_before[player_id] + rest for player_id in players & ended_before.keys()]
    times += [match.start_at] if match.start_at is not None else []
    for other in before:
        same_court = other.court_id == match.court_id and other.day_id == match.day_id
        shared = players & {side.player_id for side in other.sides}
        if other.state in IN_PLAY and (same_court or shared):
            return None
        if same_court and other.state not in OVER:
            return None
        if same_court and other.ended_at is not None:
            times.append(other.ended_at + timedelta(minutes=BETWEEN_MEDIAN_MIN))
        if shared and other.ended_at is not None:
            times.append(other.ended_at + rest)
    return max(times, default=None)
