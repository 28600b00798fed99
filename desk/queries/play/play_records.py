"""The order of play in the records, as the arithmetic of starts reads it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import Row, func, select
from sqlalchemy.orm import Session

from desk.models import Court, Event, EventDay, Match, MatchChange, MatchSide, PlayStop
from desk.queries.row_making import grouped
from desk.trade.event.event_time import EventClock
from desk.trade.play import play
from desk.trade.play.expected import still_expected
from desk.trade.play.match_figures import FormatName

FORMAT_NAMES: dict[str, FormatName] = {
    "best_of_3_men": "men_3",
    "best_of_3_women": "women_3",
    "best_of_5_men": "men_5",
    "doubles": "doubles",
}
IN_PLAY = ("on_court", "suspended")
Lengths = tuple[tuple[FormatName, int], ...]
TAKE_BACK_WITHIN = timedelta(minutes=15)
OVER = ("finished", "retired", "walkover")


@dataclass(frozen=True, kw_only=True)
class PlayRecords:
    """Everything about an event's play, read in a fixed number of statements.

    `players` gives the players of each match by side; `feeders` the matches whose winners still
    stand for a place.
    """

    clock: EventClock
    days: Mapping[int, date]
    opens: Mapping[int, datetime]
    courts: Mapping[int, str]
    matches: Mapping[int, Match]
    sides: Mapping[int, Sequence[Row]]
    pauses: Mapping[int, Sequence[MatchChange]]
    stops: Sequence[PlayStop]

    def players(self, match_id: int) -> list[int]:
        return [side.player_id for side in self.sides.get(match_id, ()) if side.player_id is not None]

    def feeders(self, match_id: int) -> list[int]:
        sides = self.sides.get(match_id, ())
        return [s.winner_of_id for s in sides if s.player_id is None and s.winner_of_id is not None]

    def stop_at(self, at: datetime) -> PlayStop | None:
        """Return the stop of play that holds at AT, if any; it began with the word, whatever a clock was set to."""
        holds = [s for s in self.stops if not s.over and (s.resumes_at is None or at < s.resumes_at)]
        return holds[-1] if holds else None

    def awaited_stop(self, at: datetime) -> PlayStop | None:
        """Return the stop that holds at AT, or the newest whose end has come while no match was played since."""
        holds = self.stop_at(at)
        newest = self.stops[-1] if self.stops else None
        if holds is not None or newest is None or newest.resumes_at is None:
            return holds
        return None if self._played_since(newest.resumes_at, newest.resumes_at) else newest

    def overdue_stop(self, at: datetime) -> PlayStop | None:
        """Return the stop whose end has come while the matches that it suspended still wait."""
        stop = self.awaited_stop(at)
        if stop is None or stop.resumes_at is None or at < stop.resumes_at:
            return None
        still = [key for key, match in self.matches.items() if match.state == "suspended"]
        waits = any(change.at >= stop.from_at for key in still for change in self.pauses.get(key, ()))
        return stop if waits else None

    def stop_to_take_back(self, at: datetime) -> PlayStop | None:
        """Return the newest stop while what was last said of it (play stopped, play resumes) can be taken back."""
        newest = self.stops[-1] if self.stops else None
        if newest is None:
            return None
        said = newest.resumes_at
        if said is None or (at <= said and not newest.over):
            return newest
        return newest if at - said <= TAKE_BACK_WITHIN and not self._played_since(said, None) else None

    def _played_since(self, at: datetime, resumed_at: datetime | None) -> bool:
        """Whether a match began after AT, or went on after it or exactly at RESUMED_AT."""
        began = any(match.started_at is not None and match.started_at >= at for match in self.matches.values())
        ons = [one.at for changes in self.pauses.values() for one in changes if one.to_state == "on_court"]
        return began or any(one > at or one == resumed_at for one in ons)


def clock_of(session: Session, event: Event) -> EventClock:
    """Return the event's clock: minutes from midnight before its first day."""
    first = session.scalar(select(func.min(EventDay.date)).where(EventDay.event_id == event.id))
    return EventClock(event.time_zone, first or date(1970, 1, 1))


def read_play(session: Session, event: Event) -> PlayRecords:
    """Return the event's play as it stands in the records."""
    rows = session.scalars(select(EventDay).where(EventDay.event_id == event.id)).all()
    days = {row.id: row.date for row in rows}
    courts = session.scalars(select(Court).where(Court.event_id == event.id))
    matches = session.scalars(select(Match).where(Match.event_id == event.id).order_by(Match.position, Match.id))
    stops = select(PlayStop).where(PlayStop.event_id == event.id).order_by(PlayStop.id)
    return PlayRecords(
        clock=EventClock(event.time_zone, min(days.values(), default=date(1970, 1, 1))),
        days=days,
        opens={row.id: row.opens_at for row in rows},
        courts={court.id: court.name for court in courts},
        matches={match.id: match for match in matches},
        sides=_sides(session, event),
        pauses=_pauses(session, event),
        stops=session.scalars(stops).all(),
    )


def play_matches(records: PlayRecords, now: int) -> tuple[play.PlayMatch, ...]:
    """Return the matches in whole minutes of the event's clock."""
    codes = {match.id: match.code for match in records.matches.values()}
    untimed = _untimed_days(records)
    return tuple(_play_match(records, match, codes, untimed, now) for match in records.matches.values())


def _untimed_days(records: PlayRecords) -> frozenset[int]:
    """Return the days of which no match has a time yet."""
    timed = {match.day_id for match in records.matches.values() if match.start_at or match.started_at}
    return frozenset(records.days.keys() - timed)


def lengths_so_far(matches: Sequence[play.PlayMatch], now: int) -> tuple[Lengths, Lengths]:
    """Return (format, minutes played) of the completed matches, and of those still on."""
    done: list[tuple[FormatName, int]] = []
    on: list[tuple[FormatName, int]] = []
    for match in matches:
        if match.started_min is None or match.state not in ("finished", "in_play", "suspended"):
            continue
        end = {"finished": match.ended_min, "suspended": match.suspended_min}.get(match.state)
        played = (now if end is None else end) - match.started_min - match.paused_min
        if played > 0:
            (done if match.state == "finished" else on).append((match.format, played))
    return tuple(done), tuple(on)


def play_settings(event: Event, **more: Any) -> play.PlaySettings:
    """Return how the event plays, between matches and at rest, with MORE settings."""
    return play.PlaySettings(
        between_least_min=event.between_least_minutes,
        between_median_min=event.between_median_minutes,
        rest_min=event.rest_minutes,
        **more,
    )


def play_stops(records: PlayRecords, at: datetime) -> tuple[play.PlayStop, ...]:
    """Return the stops of play as counted with at AT, in whole minutes; a court played on since is left out."""
    minute, waiting = records.clock.to_minutes, records.awaited_stop(at)
    return tuple(
        play.PlayStop(
            minute(min(stop.from_at, at)),
            _minute(records, _resumes(stop, at) if stop is waiting else stop.resumes_at),
            stopped_courts(records, stop),
        )
        for stop in records.stops
    )


def _resumes(stop: PlayStop, at: datetime) -> datetime | None:
    """When play is counted with to go on: an expectation that passed moves on until somebody says so."""
    return stop.resumes_at if stop.over else still_expected(stop.resumes_at, at)


def stopped_courts(records: PlayRecords, stop: PlayStop) -> frozenset[str] | None:
    """Return the courts on which play stands still, None for all: under a roof it may go on during the rain."""
    played = {m.court_id for m in records.matches.values() if m.state == "on_court" and _on_since(records, m, stop)}
    return frozenset(name for key, name in records.courts.items() if key not in played) if played else None


def _on_since(records: PlayRecords, match: Match, stop: PlayStop) -> bool:
    began = [match.started_at, *(change.at for change in records.pauses.get(match.id, ()))]
    return max((at for at in began if at is not None), default=stop.from_at) > stop.from_at


def _play_match(
    records: PlayRecords, match: Match, codes: Mapping[int, str], untimed: frozenset[int], now: int
) -> play.PlayMatch:
    # Of a day without any time only this is known, that nobody is called before the desk opens.
    opens = _minute(records, records.opens[match.day_id]) if match.day_id in untimed else None
    paused, suspended = _interruptions(records, match, now)
    return play.PlayMatch(
        key=match.code,
        court=records.courts[match.court_id],
        position=match.position,
        format=FORMAT_NAMES[match.format],
        day=(records.days[match.day_id] - records.clock.first_day).days,
        start_kind="not_before" if opens is not None else match.start_kind,  # type: ignore[arg-type]
        start_at_min=_minute(records, match.start_at) if opens is None else opens,
        state="in_play" if match.state == "on_court" else match.state,  # type: ignore[arg-type]
        started_min=_minute(records, match.started_at),
        ended_min=_minute(records, match.ended_at),
        suspended_min=suspended,
        paused_min=paused,
        # Nobody may have entered the sets, so that none is no knowledge.
        sets_done=match.sets_done or None,
        players=tuple(str(player_id) for player_id in records.players(match.id)),
        feeders=tuple(codes[feeder] for feeder in records.feeders(match.id)),
    )


def _minute(records: PlayRecords, at: datetime | None) -> int | None:
    return None if at is None else records.clock.to_minutes(at)


def _interruptions(records: PlayRecords, match: Match, now: int) -> tuple[int, int | None]:
    """Return the minutes of earlier interruptions, and since when a suspended match stands."""
    paused, stopped = 0, None
    for change in records.pauses.get(match.id, ()):
        minute = records.clock.to_minutes(change.at)
        if change.to_state == "suspended":
            stopped = minute
        elif stopped is not None:
            paused += max(0, minute - stopped)
            stopped = None
    if match.state != "suspended":
        return paused, None
    return paused, now if stopped is None else stopped


def _sides(session: Session, event: Event) -> dict[int, list[Row]]:
    of_side = (MatchSide.match_id, MatchSide.side, MatchSide.player_id, MatchSide.winner_of_id)
    rows = select(*of_side).join(Match, Match.id == MatchSide.match_id).where(Match.event_id == event.id)
    return grouped((row.match_id, row) for row in session.execute(rows.order_by(MatchSide.side, MatchSide.id)))


def _pauses(session: Session, event: Event) -> dict[int, list[MatchChange]]:
    rows = (
        select(MatchChange)
        .join(Match, Match.id == MatchChange.match_id)
        .where(
            Match.event_id == event.id,
            MatchChange.from_court_id.is_(None),
            (MatchChange.from_state == "suspended") | (MatchChange.to_state == "suspended"),
        )
    )
    return grouped((change.match_id, change) for change in session.scalars(rows.order_by(MatchChange.id)))
