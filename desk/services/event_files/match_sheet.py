"""An order of play as a file, for an event that is in the records: every fault listed, nothing stored here."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import InputFault
from desk.models import Court, Event, Match
from desk.services.event_files.cells.whole_checks import match_places, match_sides
from desk.services.event_files.raw import RawTable
from desk.services.event_files.sent_sheet import players_of, read_sheet
from desk.services.event_files.tables.all_tables import BY_NAME
from desk.services.event_files.tables.spec import Row


def read_matches(session: Session, event: Event, *, data: bytes, file_name: str) -> tuple[Row, ...]:
    """Return the rows of a CSV file or workbook with the columns of the table matches.

    Where the event has no court yet, the file names them.
    """

    def check(rows: tuple[Row, ...], raw: RawTable) -> list[InputFault]:
        here = _already_here(session, event, {row.get("code") for row in rows})
        players = tuple(Row(0, {"code": code}) for code, _ in players_of(session, event))
        tables = {"matches": (*here, *rows), "players": players}
        return [*match_places(tables, {"matches": raw}), *match_sides(tables, {"matches": raw})]

    table, sent = BY_NAME["matches"], {"data": data, "file_name": file_name}
    return read_sheet(session, event, table, **sent, what="match", check=check, news=("courts",))


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
