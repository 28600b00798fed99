"""When each match starts and by when its players need their racquets, as rows of plain text."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import datetime, timedelta
from io import StringIO

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Match, Player
from desk.queries.play.forecasts import EventForecast, forecast_event
from desk.trade.event.event_time import EventClock
from desk.trade.play.start_of_play import POINTS


@dataclass(frozen=True, kw_only=True)
class NeededByRow:
    """One player of one match; times are the event's own, "2031-05-12 14:05".

    `start_05` is the latest time before which play starts in at most 5 of 100 cases, and so on. They
    are the start itself once the match began; `needed_by` is then empty.
    """

    day: str
    court: str
    position: int
    match: str
    format: str
    state: str
    start_01: str
    start_05: str
    start_10: str
    start_50: str
    start_90: str
    player: str
    player_name: str
    needed_by: str


def needed_by_rows(session: Session, event: Event, at: datetime) -> list[NeededByRow]:
    """Return a row for each match and player, by day, court and place; a place still open is named by its feeder."""
    forecast = forecast_event(session, event, at)
    found = session.scalars(select(Player).where(Player.event_id == event.id))
    players = {player.id: player for player in found}
    matches = sorted(forecast.records.matches.values(), key=lambda match: _place(forecast, match))
    return [row for match in matches for row in _rows(forecast, match, players)]


def needed_by_csv(rows: Sequence[NeededByRow]) -> str:
    """Return the rows as CSV with a line of column names."""
    names = [field.name for field in fields(NeededByRow)]
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(names)
    writer.writerows([getattr(row, name) for name in names] for row in rows)
    return out.getvalue()


def _place(forecast: EventForecast, match: Match) -> tuple[str, int, str, int]:
    records = forecast.records
    court = match.court
    return (records.days[match.day_id].isoformat(), court.position, court.name, match.position)


def _rows(forecast: EventForecast, match: Match, players: dict[int, Player]) -> list[NeededByRow]:
    records, clock = forecast.records, forecast.records.clock
    points = [_text(clock, forecast.start_at(match.id, chance)) for chance in POINTS]
    needed = forecast.call_at(match.id) - timedelta(minutes=forecast.event.lead_minutes)
    common = {
        "day": records.days[match.day_id].isoformat(),
        "court": records.courts[match.court_id],
        "position": match.position,
        "match": match.code,
        "format": match.format,
        "state": match.state,
        **dict(zip(("start_01", "start_05", "start_10", "start_50", "start_90"), points, strict=True)),
        "needed_by": _text(clock, needed) if match.state in ("scheduled", "suspended") else "",
    }
    who = [(players[one].code, players[one].name) for one in records.players(match.id)]
    who += [("", f"winner of {records.matches[one].code}") for one in records.feeders(match.id)]
    return [NeededByRow(**common, player=code, player_name=name) for code, name in who or [("", "")]]


def _text(clock: EventClock, at: datetime) -> str:
    return f"{clock.local(at):%Y-%m-%d %H:%M}"
