"""An order of play as a file, for an event that is in the records: every fault listed, nothing stored here."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, InputFault
from desk.models import Court, Event, Match, Player
from desk.services.event_files.apart import read_apart
from desk.services.event_files.cells.names_to_codes import codes_by_name, with_codes
from desk.services.event_files.cells.understanding import check_references, understand
from desk.services.event_files.cells.whole_checks import match_places, match_sides
from desk.services.event_files.raw import RawTable
from desk.services.event_files.tables.all_tables import BY_NAME
from desk.services.event_files.tables.spec import Row
from desk.trade.event.event_time import EventClock

_TABLE = BY_NAME["matches"]


def read_matches(session: Session, event: Event, *, data: bytes, file_name: str) -> tuple[Row, ...]:
    """Return the rows of a CSV file or workbook with the columns of the table matches.

    A player may stand with code or with name. Where the event has no court yet, the file names them. Refused with
    every fault: file, row, column, what was found and what is expected.
    """
    faults: list[InputFault] = []
    players = _players(session, event)
    raw = with_codes(_TABLE, read_apart(_TABLE, data, file_name, faults), codes_by_name(players), faults)
    clock = EventClock(event.time_zone, event.days[0].date)
    rows = understand(_TABLE, raw, clock=clock, currency=event.currency, faults=faults)
    _check(session, event, rows, raw, tuple(code for code, _ in players), faults)
    if not rows and not faults:
        faults.append(InputFault(where=file_name, found="no matches", expected="a row for each match"))
    if faults:
        count = f"{len(faults)} fault{'s' if len(faults) > 1 else ''}"
        raise BadInput(f"{file_name} has {count}; no match was stored. Correct them and try again.", faults=faults)
    return rows


def _check(
    session: Session,
    event: Event,
    rows: tuple[Row, ...],
    raw: RawTable,
    players: tuple[str, ...],
    faults: list[InputFault],
) -> None:
    courts = dict.fromkeys(session.scalars(select(Court.name).where(Court.event_id == event.id)))
    days: dict[Any, None] = dict.fromkeys(day.date for day in event.days)
    missing = () if courts else ("courts",)
    check_references(_TABLE, raw, rows, {"courts": courts, "days": days}, faults, missing=missing)
    here = _already_here(session, event, {row.get("code") for row in rows})
    tables = {"matches": (*here, *rows), "players": tuple(Row(0, {"code": code}) for code in players)}
    faults.extend(match_places(tables, {"matches": raw}))
    faults.extend(match_sides(tables, {"matches": raw}))


def _already_here(session: Session, event: Event, in_file: set[Any]) -> list[Row]:
    """Return the matches of the records that the file leaves out: those that have begun stand before its rows."""
    dates = {day.id: day.date for day in event.days}
    found = select(Match, Court.name).join(Court, Court.id == Match.court_id).where(Match.event_id == event.id)
    rows = []
    for number, (match, court) in enumerate(session.execute(found.order_by(Match.id)), start=1):
        if match.code not in in_file:
            position = match.position + 0.5 if match.state == "scheduled" else -number
            place = {"day": dates[match.day_id], "court": court, "position": position, "start_kind": "at"}
            rows.append(Row(0, {"code": match.code} | place))
    return rows


def _players(session: Session, event: Event) -> list[tuple[str, str]]:
    """Return (code, name) of the players, those whose data were erased left out."""
    found = select(Player.code, Player.name).where(Player.event_id == event.id, Player.erased_at.is_(None))
    return [(code, name) for code, name in session.execute(found.order_by(Player.code))]
