"""The order of play as a screen shows it: by day and court, with when each match will start."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import product

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import OPEN_STATES, Court, Event, Job, Match, MatchChange, Player
from desk.queries.play.forecasts import EventForecast, forecast_event
from desk.queries.play.play_records import PlayRecords, stopped_courts
from desk.queries.row_making import row_of

MATCH_STATE_WORDS = {
    "scheduled": "still to start",
    "on_court": "on court",
    "suspended": "suspended",
    "finished": "finished",
    "retired": "over by retirement",
    "walkover": "a walkover",
}
FORMAT_WORDS = {
    "best_of_3_men": "best of 3, men",
    "best_of_3_women": "best of 3, women",
    "best_of_5_men": "best of 5, men",
    "doubles": "doubles, match tie-break",
}


@dataclass(frozen=True, kw_only=True)
class SideLine:
    """One side of a match: player ids and names, or the match whose winner plays."""

    number: int
    player_ids: tuple[int, ...]
    names: tuple[str, ...]
    winner_of: str
    is_winner: bool

    @property
    def text(self) -> str:
        if self.names:
            return " / ".join(self.names)
        return f"winner of {self.winner_of}" if self.winner_of else "to be named"


@dataclass(frozen=True, kw_only=True)
class MatchLine:
    """One match; `five` and `fifty` are the local times before which it starts in 5 and 50 of 100 cases.

    They are empty once the match has begun or is over; for a suspended match they tell its resumption.
    `needed_by` is when its players must have their racquets. All three are empty while the match `waits_for_play`:
    its court stands still, and nobody has said until when.
    """

    id: int
    code: str
    position: int
    format: str
    start_kind: str
    start_text: str
    state: str
    state_words: str
    sides: tuple[SideLine, ...]
    started: str
    ended: str
    sets_done: int
    five: str
    fifty: str
    five_at: datetime | None
    fifty_at: datetime | None
    needed_by: str
    open_racquets: int
    can_undo: bool
    waits_for_play: bool


@dataclass(frozen=True, kw_only=True)
class CourtLines:
    """A court with its matches of one day; it may have none."""

    court_id: int
    name: str
    matches: tuple[MatchLine, ...]


@dataclass(frozen=True, kw_only=True)
class PlayDay:
    """One day of play on all courts."""

    day_id: int
    date: date
    name: str
    courts: tuple[CourtLines, ...]


@dataclass(frozen=True, kw_only=True)
class OrderOfPlay:
    """The whole order of play; `stopped_since` and `resumes` are local times, empty while play runs.

    `resumes` is "not known" until somebody names the time. `is_overdue` says that the time has come while
    the suspended matches still wait; `take_back` is what may be taken back for all courts: "stop", "resumes" or "".
    """

    days: tuple[PlayDay, ...]
    stopped_since: str
    stop_reason: str
    resumes: str
    is_overdue: bool
    take_back: str


def order_of_play(session: Session, event: Event, at: datetime, *, day_id: int | None = None) -> OrderOfPlay:
    """Return the order of play, or that of one day, as it stands at AT."""
    shown = _Shown(session, forecast_event(session, event, at))
    courts = session.scalars(select(Court).where(Court.event_id == event.id).order_by(Court.position, Court.id)).all()
    records = shown.forecast.records
    chosen = [key for key in sorted(records.days, key=lambda key: records.days[key]) if day_id in (None, key)]
    overdue = records.overdue_stop(at)
    stop, last = records.stop_at(at) or overdue, records.stop_to_take_back(at)
    resumes = "" if stop is None else "not known"
    if stop is not None and stop.resumes_at is not None:
        resumes = shown.forecast.clock_time(stop.resumes_at)
    return OrderOfPlay(
        days=tuple(shown.day(key, courts) for key in chosen),
        stopped_since="" if stop is None else shown.forecast.clock_time(stop.from_at),
        stop_reason="" if stop is None else stop.reason,
        resumes=resumes,
        is_overdue=overdue is not None,
        take_back="" if last is None else "stop" if last.resumes_at is None else "resumes",
    )


class _Shown:
    """Turns records and forecast into lines; names and counts are read once."""

    def __init__(self, session: Session, forecast: EventForecast) -> None:
        event = forecast.event
        self.forecast = forecast
        self.still = standing_still(forecast.records, forecast.at)
        people = session.execute(select(Player.id, Player.called).where(Player.event_id == event.id))
        self.players: Mapping[int, str] = {row.id: row.called for row in people}
        counted = (
            select(Job.match_id, func.count())
            .where(Job.event_id == event.id, Job.state.in_(OPEN_STATES), Job.match_id.is_not(None))
            .group_by(Job.match_id)
        )
        moved = select(MatchChange.match_id).join(Match, Match.id == MatchChange.match_id)
        self.moved = set(session.scalars(moved.where(Match.event_id == event.id, Match.state == "scheduled")))
        self.racquets: Counter[int] = Counter(dict(session.execute(counted).all()))

    def day(self, day_id: int, courts: list[Court] | tuple[Court, ...]) -> PlayDay:
        records = self.forecast.records
        of_day = [match for match in records.matches.values() if match.day_id == day_id]
        return PlayDay(
            day_id=day_id,
            date=records.days[day_id],
            name=records.clock.day_name(records.days[day_id]),
            courts=tuple(
                CourtLines(
                    court_id=court.id,
                    name=court.name,
                    matches=tuple(self._line(match) for match in of_day if match.court_id == court.id),
                )
                for court in courts
            ),
        )

    def _line(self, match: Match) -> MatchLine:
        forecast, to_come = self.forecast, match.state in ("scheduled", "suspended")
        waits = to_come and (match.day_id, match.court_id) in self.still
        to_come = to_come and not waits
        five = forecast.start_at(match.id, 0.05) if to_come else None
        fifty = forecast.start_at(match.id, 0.5) if to_come else None
        needed = forecast.call_at(match.id) - timedelta(minutes=forecast.event.lead_minutes)
        return row_of(
            MatchLine,
            match,
            format=FORMAT_WORDS[match.format],
            start_text=self._start_text(match),
            state_words=MATCH_STATE_WORDS[match.state],
            sides=tuple(self._side(match, number) for number in (1, 2)),
            started=self._time(match, match.started_at),
            ended=self._time(match, match.ended_at),
            five=self._time(match, five),
            fifty=self._time(match, fifty),
            five_at=five,
            fifty_at=fifty,
            needed_by=self._time(match, needed) if match.state == "scheduled" and not waits else "",
            open_racquets=self.racquets[match.id],
            waits_for_play=waits,
            can_undo=match.state != "scheduled" or match.id in self.moved,
        )

    def _side(self, match: Match, number: int) -> SideLine:
        records = self.forecast.records
        rows = [side for side in records.sides.get(match.id, ()) if side.side == number]
        known = [side.player_id for side in rows if side.player_id is not None]
        feeders = [records.matches[side.winner_of_id].code for side in rows if side.winner_of_id in records.matches]
        return SideLine(
            number=number,
            player_ids=tuple(known),
            names=tuple(self.players.get(player_id, "") for player_id in known),
            winner_of=feeders[0] if feeders else "",
            is_winner=match.winner_side == number,
        )

    def _start_text(self, match: Match) -> str:
        words = {"at": "at", "not_before": "not before", "followed_by": "followed by"}[match.start_kind]
        return f"{words} {self._time(match, match.start_at)}".strip()

    def _time(self, match: Match, at: datetime | None) -> str:
        """The wall clock of AT, with its day where it is not the match's own day of play."""
        if at is None:
            return ""
        clock = self.forecast.records.clock
        return clock.spoken(at, clock.to_utc(clock.day_start(self.forecast.records.days[match.day_id])))


def standing_still(records: PlayRecords, at: datetime) -> frozenset[tuple[int, int]]:
    """Return (day, court) by id of the courts on which no match has a time to show.

    That is all that rain without a known end stops today, and those of a suspended match.
    """
    found: set[tuple[int, int]] = set()
    stop, awaited = records.stop_at(at), records.awaited_stop(at)
    if stop is not None and stop.resumes_at is None:
        names = stopped_courts(records, stop)
        courts = [court_id for court_id, name in records.courts.items() if names is None or name in names]
        today = [day_id for day_id, date in records.days.items() if date == records.clock.local(at).date()]
        found.update(product(today, courts))
    if awaited is None or awaited.resumes_at is None:
        suspended = (match for match in records.matches.values() if match.state == "suspended")
        found.update((match.day_id, match.court_id) for match in suspended)
    return frozenset(found)
