"""What if: answered beside the plan, kept when it is said, and taken back."""

import pytest
from sqlalchemy import select

from desk.models import Absence, Machine, Outage
from tests import make
from tests.services.small_desk import SmallDesk
from tests.web.conftest import House


def test_what_if_answers_beside_the_plan(house: House, desk: SmallDesk) -> None:
    client = house.as_role("lead")
    address = f"/plan/what-if?kind=stringer_leaves&stringer_id={desk.stringers[0].id}&machine_id=0&count=1&at=12:10"
    assert "Stringer 1 leaves at 12:10." in client.get(address).text
    assert "no time" in client.get("/plan/what-if?kind=more_racquets&count=5&at=99:99").text.lower()


def test_what_was_supposed_is_kept_only_when_it_is_said(house: House, desk: SmallDesk) -> None:
    client, machine = house.as_role("desk"), desk.machines[0]
    data = {"kind": "machine_out", "machine_id": machine.id, "at": "12:10"}
    page = client.get("/plan/what-if", query_string=data).text
    assert "Keep it so" in page
    with house.database.reading() as session:
        assert session.get_one(Machine, machine.id).outages == []
    answer = client.post("/plan/what-if", data=data, follow_redirects=True)
    assert f"Kept: {machine.name} is out from 12:10 on." in answer.text
    with house.database.reading() as session:
        (outage,) = session.get_one(Machine, machine.id).outages
        assert (outage.from_at, outage.to_at) == (make.moment("Mon 12:10"), None)


@pytest.mark.parametrize(
    ("kind", "screen", "button"),
    [("machine_out", "machines", "It stays in service"), ("stringer_leaves", "team", "Stays after all")],
)
def test_what_was_kept_can_be_taken_back_before_it_begins(
    house: House, desk: SmallDesk, kind: str, screen: str, button: str
) -> None:
    client, one = house.as_role("lead"), desk.machines[0] if screen == "machines" else desk.stringers[0]
    where = f"/{screen}/{one.id}"
    assert button not in client.get(where).text
    data = {"kind": kind, "machine_id": one.id, "stringer_id": one.id, "at": "15:00"}
    assert client.post("/plan/what-if", data=data).status_code == 303
    page = client.get(where).text
    assert button in page and "15:00" in page
    client.post(f"{where}/back")
    assert button not in client.get(where).text
    with house.database.reading() as session:
        assert not session.scalar(select(Outage)) and not session.scalar(select(Absence))


def test_more_racquets_that_are_supposed_cannot_be_kept(house: House, desk: SmallDesk) -> None:
    data = {"kind": "more_racquets", "count": "5", "at": "12:10"}
    client = house.as_role("desk")
    assert "Keep it so" not in client.get("/plan/what-if", query_string=data).text
    answer = client.post("/plan/what-if", data=data)
    assert answer.status_code == 422 and "can be kept" in answer.text
