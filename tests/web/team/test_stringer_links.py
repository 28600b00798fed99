"""One touch lets every stringer of the workbook choose a password, and changes nobody who has one."""

import re

from sqlalchemy import select

from desk.models import Account
from tests import make
from tests.web.conftest import House


def _team(house: House) -> None:
    def fill(session, event) -> None:
        for name in ("Ilse Marn", "Odo Tark"):
            make.make_stringer(session, event, name=name)

    house.write(fill)


def _links(page: str) -> list[str]:
    return re.findall(r"/welcome/\S+?(?=<)", page)


def test_each_stringer_gets_an_account_and_a_link_that_works_once(house: House) -> None:
    _team(house)
    assert "A link for 2 stringers" in house.as_role("lead").get("/settings/people").text
    links = _links(house.as_role("lead").post("/settings/people/stringers").text)
    assert len(links) == 2
    client = house.client()
    for status in (303, 404):
        assert client.post(links[0], data={"password": "three plain words"}).status_code == status
    made = house.scalars(select(Account).where(Account.name.in_(("Ilse Marn", "Odo Tark")))).all()
    assert {(one.role, one.event_id is None, bool(one.password_hash)) for one in made} == {
        ("stringer", False, True),
        ("stringer", False, False),
    }


def test_whoever_has_a_password_keeps_it_and_a_lost_link_is_given_anew(house: House) -> None:
    _team(house)
    first, second = _links(house.as_role("lead").post("/settings/people/stringers").text)
    house.client().post(first, data={"password": "three plain words"})
    (again,) = _links(house.as_role("lead").post("/settings/people/stringers").text)
    assert house.client().get(second).status_code == 404 and house.client().get(again).status_code == 200
    assert (
        house.client().post("/sign-in", data={"name": "Ilse Marn", "password": "three plain words"}).status_code == 303
    )


def test_the_name_of_a_lead_is_no_stringers(house: House) -> None:
    def fill(session, event) -> None:
        make.make_stringer(
            session, event, name=session.scalars(select(Account.name).where(Account.role == "lead")).one()
        )

    house.write(fill)
    assert "A link for" not in house.as_role("lead").get("/settings/people").text
    assert not _links(house.as_role("lead").post("/settings/people/stringers").text)


def test_only_the_lead_may(house: House) -> None:
    assert house.as_role("desk").post("/settings/people/stringers").status_code == 403
