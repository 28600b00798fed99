"""When the matches of an event start, from the records and the present moment."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache

from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Event, Match
from desk.queries.play.play_records import (
    PlayRecords,
    lengths_so_far,
    play_matches,
    play_settings,
    play_stops,
    read_play,
)
from desk.trade.errors import TradeError
from desk.trade.play import play
from desk.trade.play.match_scale import learned_scale
from desk.trade.play.start_of_play import StartDistribution, forecast


@dataclass(frozen=True, kw_only=True)
class Coming:
    """A match that a player may play; `if_wins` names the matches they must win first."""

    match: Match
    if_wins: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class EventForecast:
    """The starts of all matches of an event as known at `at`."""

    event: Event
    records: PlayRecords
    at: datetime
    starts: Mapping[int, StartDistribution]

    def start_at(self, match_id: int, chance: float) -> datetime:
        """Return the latest time before which the match starts with a probability of at most CHANCE."""
        return self.records.clock.to_utc(self.starts[match_id].point(chance))

    def call_at(self, match_id: int) -> datetime:
        """Return the time before which the players are called no more often than the event allows."""
        return self.start_at(match_id, self.event.early_call_per_cent / 100)

    def clock_time(self, at: datetime) -> str:
        """Return AT as people say it: the time alone on the day of the forecast, else with its day."""
        return self.records.clock.spoken(at, self.at)

    def by_player(self) -> dict[int, list[Coming]]:
        """Return each player's matches in the order of their starts, those they may reach by winning in it."""
        reach = _Reach(self.records)
        order = sorted(self.starts, key=lambda match_id: (self.starts[match_id].start.mean, match_id))
        found: dict[int, list[Coming]] = defaultdict(list)
        for match_id in order:
            for player_id, wins in reach.of(match_id).items():
                found[player_id].append(Coming(match=self.records.matches[match_id], if_wins=wins))
        return found


class _Reach:
    """Who may play a match: the players named, and those who get there by winning."""

    def __init__(self, records: PlayRecords) -> None:
        self.records = records
        self.known: dict[int, dict[int, tuple[str, ...]]] = {}

    def of(self, match_id: int) -> dict[int, tuple[str, ...]]:
        if match_id not in self.known:
            found: dict[int, tuple[str, ...]] = dict.fromkeys(self.records.players(match_id), ())
            for feeder in self.records.feeders(match_id):
                code = self.records.matches[feeder].code
                found |= {player: (*wins, code) for player, wins in self.of(feeder).items() if player not in found}
            self.known[match_id] = found
        return self.known[match_id]


def forecast_event(session: Session, event: Event, at: datetime) -> EventForecast:
    """Return the starts of the event's matches, given all that the records know.

    Raises
    ------
    BadInput
        When the order of play cannot be: a cycle of winners, two matches on one court.
    """
    records = read_play(session, event)
    now = records.clock.to_minutes(at)
    matches = play_matches(records, now)
    try:
        scale = _scale(*lengths_so_far(matches, now), event.match_length_per_cent / 100).factor
        settings = play_settings(event, stops=play_stops(records, at), scale=scale)
        by_code = _forecast(matches, now, settings)
    except TradeError as error:
        raise BadInput(f"The order of play cannot be reckoned with. {error}") from error
    ids = {match.code: match.id for match in records.matches.values()}
    starts = {ids[code]: found for code, found in by_code.items()}
    return EventForecast(event=event, records=records, at=at, starts=starts)


_scale = lru_cache(maxsize=32)(learned_scale)


@lru_cache(maxsize=32)
def _forecast(
    matches: tuple[play.PlayMatch, ...], now: int, settings: play.PlaySettings
) -> dict[str, StartDistribution]:
    return forecast(matches, now, settings)
