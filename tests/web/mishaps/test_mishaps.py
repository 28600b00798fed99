"""The short form from the tag, the lead's list, and the handover of a shift, as screens."""

from collections.abc import Callable

import pytest
from sqlalchemy.orm import Session

from desk.models import Event, Mishap, Reel, ReelEntry, ShiftNote
from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene


@pytest.fixture
def code(furnished: Callable) -> str:
    return furnished(scene.fill)[1].in_state("strung")[0].code


def test_a_mishap_is_noted_from_the_tag_and_closed_on_the_list(house: House, code: str) -> None:
    client = house.as_role("desk")
    assert "Something went wrong" in client.get(f"/tag/{code}").text
    assert client.post(f"/mishaps/of/{code}", data={"kind": "left_behind"}).status_code == 303
    assert "1 thing went wrong and is open" in client.get("/mishaps").text
    assert client.post("/mishaps/1/close", data={"done": ""}).status_code == 422
    assert client.post("/mishaps/1/close", data={"done": "sent after the player"}).status_code == 303
    page = client.get("/mishaps").text
    assert "sent after the player" in page and "Open again" in page


def test_a_lost_tag_leads_to_the_new_one(house: House, code: str) -> None:
    answer = house.as_role("desk").post(f"/mishaps/of/{code}", data={"kind": "tag_lost"})
    with house.database.reading() as session:
        new = session.query(Mishap).one().job.code
    assert new != code and answer.headers["Location"].endswith(f"/tag/{new}")
    assert house.as_role("desk").get(f"/tag/{code}").status_code == 404


def _two_from_one_reel(session: Session, event: Event) -> list[str]:
    jobs = scene.fill(session, event).in_state("strung")[:2]
    cut = {"reel_id": session.query(Reel).first().id, "at": make.moment("Mon 09:00"), "by": "desk", "kind": "use"}
    session.add_all(ReelEntry(**cut, metres=-11.0, job_id=job.id, part="mains") for job in jobs)
    return [job.code for job in jobs]


def test_a_reel_that_breaks_often_is_marked_in_the_store(house: House) -> None:
    strung = house.write(_two_from_one_reel)
    client = house.as_role("desk")
    assert "breaks often" not in client.get("/store").text
    for code in strung:
        assert client.post(f"/mishaps/of/{code}", data={"kind": "string_broke"}).status_code == 303
    assert "breaks often" in client.get("/store").text


def test_nothing_chosen_is_refused_beside_its_field(house: House, code: str) -> None:
    answer = house.as_role("desk").post(f"/mishaps/of/{code}", data={"note": "?"})
    assert (answer.status_code, "choose what went wrong" in answer.text) == (422, True)


def test_a_shift_is_signed_by_who_goes_and_by_who_comes(house: House, code: str) -> None:
    lead, desk = house.as_role("lead"), house.as_role("desk")
    lead.post("/shift", data={"words": "Bench 2 squeaks."})
    assert "I have read it and take over" in desk.get("/shift").text
    desk.post("/shift/1/taken")
    with house.database.reading() as session:
        note = session.query(ShiftNote).one()
        assert (note.by, note.taken_over_by, note.words) == ("lead", "desk", "Bench 2 squeaks.")
