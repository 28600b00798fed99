"""A sheet of drop-offs for an event that is in the records: many racquets at once, every fault listed."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import InputFault, NotFound
from desk.models import Event, Frame, Player, Racquet
from desk.services.event_files.cells.whole_checks import one_frame_each
from desk.services.event_files.raw import RawTable
from desk.services.event_files.script import ScriptedDropOff, visits
from desk.services.event_files.sent_sheet import read_sheet
from desk.services.event_files.tables.all_tables import BY_NAME
from desk.services.event_files.tables.spec import Row


def read_bulk(session: Session, event_id: int, *, data: bytes, file_name: str) -> tuple[ScriptedDropOff, ...]:
    """Return the visits in a CSV file or workbook with the columns of the table dropoffs."""
    event = session.get(Event, event_id)
    if event is None:
        raise NotFound("This event is not in the records (any more).")

    def check(rows: tuple[Row, ...], raw: RawTable) -> list[InputFault]:
        return [*one_frame_each(rows, raw), *_other_frames(session, event, rows, raw)]

    return visits(
        read_sheet(session, event, BY_NAME["dropoffs"], data=data, file_name=file_name, what="racquet", check=check)
    )


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
