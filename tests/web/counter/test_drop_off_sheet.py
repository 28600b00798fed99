"""A sheet of drop-offs at the counter: faults listed, then what would come, then taken in."""

import io
from decimal import Decimal

import pytest
from sqlalchemy import select

from desk.models import Event, Frame, Job, StringType
from desk.services.event_files.bulk import TABLE as DROP_OFFS
from desk.web.counter.sheet_rows import as_csv
from tests import make
from tests.web.conftest import House
from tests.web.counter.sheet_page import desk_of, fields_of

LOW = "2031-05-12,12:00,P1,3,F1,S1,24 lb\n"
HEADER = "day,time,player,racquet,frame,mains_string,mains_tension\n"


@pytest.fixture
def desk(house: House):
    """The desk's client, with a player P1, a frame F1, a string S1 and a bench."""
    return desk_of(house, {"P1": "Ya Lim"})


def send(desk, rows: str):
    return desk.post("/drop-off-sheet", data={"file": (io.BytesIO((HEADER + rows).encode()), "evening.csv")})


def jobs(house: House) -> list[str]:
    return list(house.scalars(select(Job.code)))


def test_every_fault_is_listed_and_nothing_is_taken_in(house: House, desk) -> None:
    page = send(desk, "2031-05-12,12:00,P1,1,F1,S1,52\n2031-05-12,12:00,P9,1,F1,S1,52 lb\n").text
    assert 'name="cell-2-mains_tension" value="52"' in page and 'name="cell-3-player" value="P9"' in page
    assert "2 of 2 cannot be taken in as they are" in page and "Take in" not in page
    assert jobs(house) == []


def test_the_sound_rows_are_taken_in_and_the_others_stay_until_they_are_corrected(house: House, desk) -> None:
    rows = "2031-05-12,12:00,P1,1,F1,S1,52 lb\n2031-05-12,12:00,P1,2,F1,S1,52\n2031-05-12,12:00,P9,1,F1,S1,52 lb\n"
    page = send(desk, rows).text
    assert "Take in 1 racquet, leave 2 out" in page
    fields = fields_of(page)
    for _ in range(2):
        left = desk.post("/drop-off-sheet/take", data=fields).text
        assert "1 racquet is taken in. 2 are not: they stand below." in left and len(jobs(house)) == 1
        assert "2 of 2 cannot be taken in as they are" in left
    page = desk.post("/drop-off-sheet", data=fields_of(left) | {"cell-3-mains_tension": "51 lb"}).text
    assert "Take in 1 racquet, leave 1 out" in page and "1 of 2 cannot be taken in as it is" in page
    page = desk.post("/drop-off-sheet/take", data=fields_of(page) | {"cell-4-player": "Ya Lim"}).text
    assert len(jobs(house)) == 2 and "Racquet 1 is at the desk already" in page


def test_a_low_tension_is_asked_about_beside_its_row(house: House, desk) -> None:
    def printed(session, event: Event) -> None:
        for frame in session.scalars(select(Frame)):
            frame.tension_low, frame.tension_high, frame.tension_unit = Decimal(22), Decimal(27), "kg"

    house.write(printed)
    page = send(desk, LOW).text
    assert "did you mean 24 kg?" in page and "Take in" not in page
    page = desk.post("/drop-off-sheet", data=fields_of(page) | {"meant": "2 low_meant"}).text
    assert "Take in 1 racquet" in page and 'name="meant" value="2 low_meant"' in page
    assert desk.post("/drop-off-sheet/take", data=fields_of(page) | {"meant": "2 low_meant"}).status_code == 303
    assert len(jobs(house)) == 1


def test_a_note_of_damage_without_an_answer_is_a_row_to_correct(house: House, desk) -> None:
    """The sheet has no column for the answer; the page has."""
    header, row = HEADER.rstrip() + ",found\n", "2031-05-12,12:00,P1,1,F1,S1,52 lb,frame is broken at the throat\n"
    page = desk.post("/drop-off-sheet", data={"file": (io.BytesIO((header + row).encode()), "evening.csv")}).text
    assert "no answer beside the note “frame is broken at the throat”; expected sound, worn or cracked" in page
    assert 'name="cell-2-frame_check" value=""' in page and "Take in" not in page
    page = desk.post("/drop-off-sheet", data=fields_of(page) | {"cell-2-frame_check": "cracked"}).text
    assert "Tell the owner, who keeps it" in page and "Take in" not in page
    page = desk.post("/drop-off-sheet", data=fields_of(page) | {"cell-2-frame_check": "sound"}).text
    assert "Looked at once more: the answer stands" in page and "Take in" not in page
    page = desk.post("/drop-off-sheet", data=fields_of(page) | {"meant": "2 frame_meant"}).text
    assert "Take in 1 racquet" in page
    assert desk.post("/drop-off-sheet/take", data=fields_of(page) | {"meant": "2 frame_meant"}).status_code == 303
    assert len(jobs(house)) == 1


def test_what_no_page_carried_is_refused(house: House, desk) -> None:
    for checked in ("", "no rows", "[1]", '{"2": 3}', '{"x": {}}', '{"2": {"odd": "1"}}'):
        answer = desk.post("/drop-off-sheet/take", data={"checked": checked, "request_key": "k", "row": ["2"]})
        assert answer.status_code == 422, checked
    assert jobs(house) == []


def test_what_was_looked_at_is_taken_in(house: House, desk) -> None:
    page = send(desk, "2031-05-12,12:00,P1,1,F1,S1,52 lb\n2031-05-12,12:00,P1,2,F1,S1,51 lb\n").text
    assert "Take in 2 racquets" in page and page.count("Ya Lim") == 2 and jobs(house) == []
    fields = fields_of(page)
    assert desk.post("/drop-off-sheet/take", data=fields).status_code == 303
    assert desk.post("/drop-off-sheet/take", data=fields).status_code == 303
    assert len(jobs(house)) == 2


def test_a_racquet_that_is_here_already_is_named_before_anything_is_taken_in(house: House, desk) -> None:
    row = "2031-05-12,12:00,P1,1,F1,S1,52 lb\n"
    fields = fields_of(send(desk, row).text)
    assert desk.post("/drop-off-sheet/take", data=fields).status_code == 303
    page = send(desk, row + "2031-05-12,12:00,P1,2,F1,S1,51 lb\n").text
    assert "Racquet 1 is at the desk already" in page and "Take in 1 racquet, leave 1 out" in page


def test_a_row_shows_its_string_and_what_it_costs(house: House, desk) -> None:
    house.write(lambda session, event: make.make_price(session, event, "labour", 1800))
    page = send(desk, "2031-05-12,12:00,P1,1,F1,S1,52 lb\n").text
    with house.database.reading() as session:
        name = session.scalars(select(StringType.name)).one()
    assert f"52 lb / 52 lb, {name}" in page and "about 18.00 EUR" in page


def test_no_file_says_so(house: House, desk) -> None:
    answer = desk.post("/drop-off-sheet", data={})
    assert answer.status_code == 422 and "Choose the file with the drop-offs first" in answer.text


def test_a_workbook_that_is_none_is_refused(house: House, desk) -> None:
    answer = desk.post("/drop-off-sheet", data={"file": (io.BytesIO(b"PK nonsense"), "x.xlsx")})
    assert answer.status_code == 422 and "x.xlsx" in answer.text


def test_the_empty_sheet_holds_the_columns(desk) -> None:
    assert desk.get("/drop-off-sheet/empty.csv").text.startswith("day,time,player,racquet,frame,")


def test_a_row_that_comes_back_keeps_its_number_and_its_cells() -> None:
    """A first cell with # would make the row a remark; in any other it is a word of the player's."""
    first, second = list(DROP_OFFS.by_name)[:2]
    text = as_csv({4: {first: "#5", second: "# 5"}}, DROP_OFFS).decode()
    lines = text.splitlines()
    assert (len(lines), lines[3].split(",")[:2]) == (4, ["5", "# 5"])
