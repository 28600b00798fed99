"""A sheet of drop-offs at the counter: faults listed, then what would come, then taken in."""

import io
import re

import pytest
from sqlalchemy import select

from desk.models import Event, Job, StringType
from tests import make
from tests.web.conftest import House

FIELDS = r'name="(checked|name|request_key)" type="hidden" value="([^"]*)"'
HEADER = "day,time,player,racquet,frame,mains_string,mains_tension\n"


@pytest.fixture
def desk(house: House):
    """The desk's client, with a player P1, a frame F1, a string S1 and a bench."""

    def fill(session, event: Event) -> None:
        event.calibration_required = False
        make.make_reel(session, make.make_string(session, event, code="S1"))
        make.make_frame(session, event, code="F1")
        make.make_player(session, event, code="P1", name="Ya Lim")
        make.make_stringer(session, event, home_machine_id=make.make_machine(session, event).id)

    house.write(fill)
    return house.as_role("desk")


def send(desk, rows: str):
    return desk.post("/drop-off-sheet", data={"file": (io.BytesIO((HEADER + rows).encode()), "evening.csv")})


def jobs(house: House) -> list[str]:
    return list(house.scalars(select(Job.code)))


def test_every_fault_is_listed_and_nothing_is_taken_in(house: House, desk) -> None:
    answer = send(desk, "2031-05-12,12:00,P1,1,F1,S1,52\n2031-05-12,12:00,P9,1,F1,S1,52 lb\n")
    assert answer.status_code == 422
    assert "mains_tension" in answer.text and "P9" in answer.text and "Take in" not in answer.text
    assert jobs(house) == []


def test_what_was_looked_at_is_taken_in(house: House, desk) -> None:
    page = send(desk, "2031-05-12,12:00,P1,1,F1,S1,52 lb\n2031-05-12,12:00,P1,2,F1,S1,51 lb\n").text
    assert "Take in 2 racquets" in page and page.count("Ya Lim") == 2 and jobs(house) == []
    fields = dict(re.findall(FIELDS, page))
    assert desk.post("/drop-off-sheet/take", data=fields).status_code == 303
    assert desk.post("/drop-off-sheet/take", data=fields).status_code == 303
    assert len(jobs(house)) == 2


def test_a_racquet_that_is_here_already_is_named_before_anything_is_taken_in(house: House, desk) -> None:
    row = "2031-05-12,12:00,P1,1,F1,S1,52 lb\n"
    fields = dict(re.findall(FIELDS, send(desk, row).text))
    assert desk.post("/drop-off-sheet/take", data=fields).status_code == 303
    page = send(desk, row + "2031-05-12,12:00,P1,2,F1,S1,51 lb\n").text
    assert "Racquet 1 is at the desk already" in page and "Nothing is taken in while a row cannot be" in page
    assert "Take in" not in page


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
