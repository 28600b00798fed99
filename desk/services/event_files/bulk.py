"""A sheet of drop-offs for an event that is in the records: many racquets at once, every fault listed."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, InputFault, NotFound
from desk.models import Court, Event, Frame, Player, Racquet, StringType
from desk.services.event_files.apart import read_apart
from desk.services.event_files.cells.names_to_codes import codes_by_name, with_codes
from desk.services.event_files.cells.understanding import check_references, understand
from desk.services.event_files.cells.whole_checks import one_frame_each
from desk.services.event_files.raw import RawTable
from desk.services.event_files.script import ScriptedDropOff, visits
from desk.services.event_files.tables.all_tables import BY_NAME
from desk.services.event_files.tables.spec import Row
from desk.trade.event.event_time import EventClock

_TABLE = BY_NAME["dropoffs"]


def read_bulk(session: Session, event_id: int, *, data: bytes, file_name: str) -> tuple[ScriptedDropOff, ...]:
    """Return the visits in a CSV file or workbook with the columns of the table dropoffs.

    Refused with every fault: file, row, column, what was found and what is expected.
    """
    event = session.get(Event, event_id)
    if event is None:
        raise NotFound("This event is not in the records (any more).")
    faults: list[InputFault] = []
    named = select(Player.code, Player.name).where(Player.event_id == event.id, Player.erased_at.is_(None))
    codes = codes_by_name((code, name) for code, name in session.execute(named.order_by(Player.code)))
    raw = with_codes(_TABLE, read_apart(_TABLE, data, file_name, faults), codes, faults)
    clock = EventClock(event.time_zone, event.days[0].date)
    rows = understand(_TABLE, raw, clock=clock, currency=event.currency, faults=faults)
    check_references(_TABLE, raw, rows, _known(session, event), faults)
    faults.extend(one_frame_each(rows, raw))
    faults.extend(_other_frames(session, event, rows, raw))
    if not rows and not faults:
        faults.append(InputFault(where=file_name, found="no drop-offs", expected="a row for each racquet"))
    if faults:
        count = f"{len(faults)} fault{'s' if len(faults) > 1 else ''}"
        raise BadInput(f"{file_name} has {count}; no racquet was taken in. Correct them and try again.", faults=faults)
    return visits(rows)


def _known(session: Session, event: Event) -> dict[str, dict[Any, None]]:
    columns = {"players": Player.code, "frames": Frame.code, "strings": StringType.code, "courts": Court.name}
    known: dict[str, dict[Any, None]] = {
        table: dict.fromkeys(session.scalars(select(column).where(column.class_.event_id == event.id).order_by(column)))
        for table, column in columns.items()
    }
    return known | {"days": dict.fromkeys(day.date for day in event.days)}


def _other_frames(session: Session, event: Event, rows: tuple[Row, ...], raw: RawTable) -> list[InputFault]:
    """A racquet that the desk knows keeps its frame."""
    found = (
        select(Player.code, Racquet.number, Frame.code)
        .join(Racquet, Racquet.player_id == Player.id)
        .join(Frame, Frame.id == Racquet.frame_id)
        .where(Player.event_id == event.id)
    )
    frames = {(player, number): frame for player, number, frame in session.execute(found)}
    return [
        InputFault(
            where=raw.where(row.number, "frame"),
            found=f'"{row["frame"]}" for racquet {row["racquet"]} of {row["player"]}',
            expected=f'"{frames[row["player"], row["racquet"]]}" as the desk knows it, or another racquet number',
        )
        for row in rows
        if row.get("frame") and frames.get((row.get("player"), row.get("racquet")), row["frame"]) != row["frame"]
    ]
