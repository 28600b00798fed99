"""A sheet of drop-offs for an event in the records: the sound rows as visits, each other row with its faults."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import InputFault, NotFound
from desk.models import Event, Frame, Player, Racquet
from desk.services.event_files.cells.whole_checks import one_frame_each
from desk.services.event_files.raw import RawTable
from desk.services.event_files.script import ScriptedDropOff, visits
from desk.services.event_files.sent_sheet import read_rows
from desk.services.event_files.tables.all_tables import BY_NAME
from desk.services.event_files.tables.spec import Row

TABLE = BY_NAME["dropoffs"]


@dataclass(frozen=True, kw_only=True)
class BulkSheet:
    """The visits of a sheet, and by the number of a row its cells as they were written, and its faults."""

    visits: tuple[ScriptedDropOff, ...]
    cells: Mapping[int, Mapping[str, str]]
    faults: Mapping[int, tuple[InputFault, ...]]


def read_bulk(session: Session, event_id: int, *, data: bytes, file_name: str) -> BulkSheet:
    """Return what a CSV file or workbook with the columns of the table dropoffs asks for.

    Refused where the file is none, or its header is wrong: then no row can be read.
    """
    event = session.get(Event, event_id)
    if event is None:
        raise NotFound("This event is not in the records (any more).")

    frames = _frames(session, event)

    def check(rows: tuple[Row, ...], raw: RawTable) -> list[InputFault]:
        return [*one_frame_each(rows, raw), *_other_frames(frames, rows, raw)]

    read = read_rows(session, event, TABLE, data=data, file_name=file_name, what="racquet", check=check)
    cells = {row.number: row.cells for row in read.raw.rows}
    return BulkSheet(visits=visits(read.rows), cells=cells, faults=read.faults)


def _frames(session: Session, event: Event) -> dict[tuple[str, int], str]:
    """Return the frame of each racquet that the desk knows, by its player and number."""
    found = (
        select(Player.code, Racquet.number, Frame.code)
        .join(Racquet, Racquet.player_id == Player.id)
        .join(Frame, Frame.id == Racquet.frame_id)
        .where(Player.event_id == event.id)
    )
    return {(player, number): frame for player, number, frame in session.execute(found)}


def _other_frames(frames: Mapping[tuple[str, int], str], rows: tuple[Row, ...], raw: RawTable) -> list[InputFault]:
    """A racquet that the desk knows keeps its frame."""
    return [
        InputFault(
            where=raw.where(row.number, "frame"),
            found=f'"{row["frame"]}" for racquet {row["racquet"]} of {row["player"]}',
            expected=f'"{frames[row["player"], row["racquet"]]}" as the desk knows it, or another racquet number',
        )
        for row in rows
        if row.get("frame") and frames.get((row.get("player"), row.get("racquet")), row["frame"]) != row["frame"]
    ]
