"""The order of play from a file, on its screen."""

import io

import pytest
from sqlalchemy import select

from desk.models import Event, Match
from tests import make
from tests.web.conftest import House

HEADER = "code,day,court,position,format,start_kind,start,side1,side2\n"


@pytest.fixture
def desk(house: House):
    def fill(session, event: Event) -> None:
        make.make_player(session, event, code="P1", name="Ya Lim")
        make.make_player(session, event, code="P2", name="Bo Arnqvist")

    house.write(fill)
    return house.as_role("desk")


def send(desk, rows: str):
    return desk.post("/play/sheet", data={"file": (io.BytesIO((HEADER + rows).encode()), "order.csv")})


def codes(house: House) -> list[str]:
    return list(house.scalars(select(Match.code)))


def test_a_file_becomes_the_order_of_play(house: House, desk) -> None:
    assert send(desk, "A1,2031-05-12,Court 1,1,best_of_3_women,at,18:00,P1,P2\n").status_code == 303
    assert codes(house) == ["A1"]
    page = desk.get("/play").text
    assert "1 matches added" not in page and "1 match added, 0 changed" in page and "Ya Lim" in page


def test_every_fault_is_listed_and_nothing_is_stored(house: House, desk) -> None:
    answer = send(desk, "A1,2031-05-12,Court 1,1,best_of_9,at,18:00,P1,P9\n")
    assert answer.status_code == 422
    assert "best_of_9" in answer.text and "P9" in answer.text and codes(house) == []


def test_no_file_says_so(desk) -> None:
    answer = desk.post("/play/sheet", data={})
    assert answer.status_code == 422 and "Choose the file with the order of play first" in answer.text


def test_the_empty_sheet_holds_the_columns(desk) -> None:
    assert desk.get("/play/sheet/empty.csv").text == HEADER.replace("\n", "\r\n")
