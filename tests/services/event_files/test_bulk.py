"""A sheet of drop-offs becomes visits, or every fault of it is listed."""

import csv
import io
from datetime import UTC, datetime
from pathlib import Path

import pytest
from openpyxl import Workbook
from sqlalchemy import select

from desk.errors import BadInput, NotFound
from desk.models import Event, Frame, Player, Racquet
from desk.models.database import Database
from desk.services.acting import Acting
from desk.services.event_files import BulkSheet, ScriptedDropOff, read_bulk, read_event, store_event
from tests.services.event_files.files import write_event

HEADER = "day,time,player,racquet,frame,mains_string,crosses_string,mains_tension,crosses_tension,needed_by\n"
ROWS = (
    "2031-05-12,09:00,P2,1,F1,X2,X1,24 kg,22.5 kg,17:30\n"
    "2031-05-12,08:30,P1,2,F1,X1,,52.5 lb,,\n"
    "2031-05-12,08:30,P1,1,F1,X1,,53 lb,,Tue 10:00\n"
)


@pytest.fixture
def event_id(database: Database, tmp_path: Path) -> int:
    """The small event, stored; player P1 has racquet 1, an F1."""
    acting = Acting(by="lead", at=datetime(2031, 5, 11, tzinfo=UTC))
    with database.writing() as session:
        event: Event = store_event(session, read_event(write_event(tmp_path)), acting=acting)
        player = session.scalars(select(Player).where(Player.code == "P1")).one()
        frame = session.scalars(select(Frame).where(Frame.code == "F1")).one()
        session.add(Racquet(player_id=player.id, frame_id=frame.id, number=1))
    return event.id


def read(database: Database, event_id: int, data: bytes, name: str = "evening.csv") -> tuple[ScriptedDropOff, ...]:
    return sheet(database, event_id, data, name).visits


def sheet(database: Database, event_id: int, data: bytes, name: str = "evening.csv") -> BulkSheet:
    with database.reading() as session:
        return read_bulk(session, event_id, data=data, file_name=name)


def faults(database: Database, event_id: int, data: bytes, name: str = "evening.csv") -> list[str]:
    with pytest.raises(BadInput) as caught:
        read(database, event_id, data, name)
    return [str(fault) for fault in caught.value.faults]


def test_rows_of_one_player_at_one_time_are_one_visit(database: Database, event_id: int) -> None:
    visits = read(database, event_id, (HEADER + ROWS).encode())
    assert [(visit.player_code, [racquet.number for racquet in visit.racquets]) for visit in visits] == [
        ("P1", [1, 2]),
        ("P2", [1]),
    ]
    assert visits[0].at == datetime(2031, 5, 12, 6, 30, tzinfo=UTC)


def test_a_card_keeps_what_was_asked_and_fills_the_crosses(database: Database, event_id: int) -> None:
    first, second = read(database, event_id, (HEADER + ROWS).encode())
    plain, hybrid = first.racquets[1], second.racquets[0]
    assert (plain.bed.crosses.string_code, plain.bed.crosses.tension.display()) == ("X1", "52.5 lb")
    assert tuple(half.string_code for half in hybrid.bed) == ("X2", "X1")
    assert (hybrid.bed.crosses.tension.display(), hybrid.needed_by_at) == (
        "22.5 kg",
        datetime(2031, 5, 12, 15, 30, tzinfo=UTC),
    )
    assert first.racquets[0].needed_by_at == datetime(2031, 5, 13, 8, 0, tzinfo=UTC)


def test_a_workbook_gives_the_same_visits(database: Database, event_id: int) -> None:
    book, file = Workbook(), io.BytesIO()
    for row in csv.reader(io.StringIO(HEADER + ROWS)):
        book.worksheets[0].append(row)
    book.save(file)
    assert read(database, event_id, file.getvalue(), "evening.xlsx") == read(
        database, event_id, (HEADER + ROWS).encode()
    )


def test_every_fault_of_a_sheet_is_listed(database: Database, event_id: int) -> None:
    bad = (
        "2031-05-12,09:00,P9,1,F1,X1,,24 kg,,\n"
        "2031-05-12,09:00,P2,1,F1,X1,,24,,\n"
        "2031-05-14,09:00,P2,2,F1,X1,,24 kg,,\n"
        "2031-05-12,09:00,P1,1,F2,X1,,24 kg,,\n"
    )
    found = sheet(database, event_id, (HEADER + bad).encode())
    assert found.visits == () and sorted(found.cells) == sorted(found.faults) == [2, 3, 4, 5]
    assert [str(fault) for number in (3, 4, 2, 5) for fault in found.faults[number]] == [
        'evening.csv row 3, column mains_tension: found "24"; '
        'expected a tension with its unit, such as "52.5 lb" or "23.5 kg": a bare number may be either',
        'evening.csv row 4, column day: found "2031-05-14"; expected a row of the table days: 2031-05-12, 2031-05-13',
        'evening.csv row 2, column player: found "P9"; expected a row of the table players: P1, P2, P3, P4',
        'evening.csv row 5, column frame: found "F2" for racquet 1 of P1; '
        'expected "F1" as the desk knows it, or another racquet number',
    ]


def test_a_row_with_a_fault_leaves_the_others_sound(database: Database, event_id: int) -> None:
    found = sheet(database, event_id, (HEADER + ROWS + "2031-05-12,09:00,P2,1,F1,X1,,24,,\n").encode())
    assert [len(visit.racquets) for visit in found.visits] == [2, 1]
    assert list(found.faults) == [5] and found.cells[5]["mains_tension"] == "24"


def test_of_two_rows_that_contradict_the_first_stands(database: Database, event_id: int) -> None:
    row = "2031-05-12,09:00,P2,1,F1,X1,,24 kg,,\n"
    found = sheet(database, event_id, (HEADER + row + row).encode())
    assert (len(found.visits), list(found.faults)) == (1, [3])


def test_a_sheet_without_racquets_is_refused(database: Database, event_id: int) -> None:
    assert faults(database, event_id, HEADER.encode()) == [
        "evening.csv: found no rows; expected a row for each racquet"
    ]


def test_a_file_that_only_calls_itself_a_workbook_is_refused(database: Database, event_id: int) -> None:
    (fault,) = faults(database, event_id, (HEADER + ROWS).encode(), "evening.xlsx")
    assert fault == "evening.xlsx: found a file that is no workbook; expected a workbook saved as .xlsx"


def test_an_event_that_is_gone_is_said_to_be(database: Database) -> None:
    with pytest.raises(NotFound, match="not in the records"):
        read(database, 99, HEADER.encode())
