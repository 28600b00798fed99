"""Fragments: a 304 from one statement while nothing changed, a new tag when something did."""

import pytest

from desk.models import Event
from desk.services.bench import jobs
from tests import make
from tests.web import scene
from tests.web.conftest import House
from tests.web.statements import selects

FRAGMENTS = ("/benches/lines", "/pickup/waiting")


def test_an_unchanged_fragment_is_a_304_from_one_statement(house: House) -> None:
    house.write(scene.fill)
    client = house.as_role("lead")
    for address in FRAGMENTS:
        tag = client.get(address).headers["ETag"]
        with selects(house.database) as found:
            again = client.get(address, headers={"If-None-Match": tag})
        assert (again.status_code, again.data, len(found)) == (304, b"", 1)


def test_a_change_gives_a_new_tag(house: House) -> None:
    filled = house.write(scene.fill)
    client = house.as_role("lead")
    tag = client.get("/pickup/waiting").headers["ETag"]
    waiting = filled.in_state("waiting")[0].id
    with house.database.writing() as session:
        jobs.hold_job(session, house.event_id, waiting, "string is missing", acting=make.acting())
    assert client.get("/pickup/waiting", headers={"If-None-Match": tag}).status_code == 200


def test_a_minute_gives_a_new_tag_where_times_move(house: House) -> None:
    house.write(scene.fill)
    client = house.as_role("lead")
    tag = client.get("/benches/lines").headers["ETag"]
    house.write(lambda session, event: make.set_clock(event, "Mon 12:44"))
    assert client.get("/benches/lines", headers={"If-None-Match": tag}).status_code == 200


def test_two_people_do_not_share_a_tag(house: House) -> None:
    house.write(scene.fill)
    tags = {house.as_role(role).get("/benches/lines").headers["ETag"] for role in ("lead", "desk", "stringer")}
    assert len(tags) == 3


def _more_jobs(session, event: Event, count: int) -> None:
    player = make.make_player(session, event)
    for number in range(count):
        state = "strung" if number % 2 else "waiting"
        make.make_job(session, player, state=state, finished_at=make.moment("Mon 11:00"))
    event.revision += 1


@pytest.mark.parametrize("address", ["/benches", "/pickup", "/log", "/pickup?q=e", "/tag"])
def test_the_number_of_statements_does_not_grow_with_the_jobs(house: House, address: str) -> None:
    house.write(scene.fill)
    client = house.as_role("lead")
    counts = []
    for more in (1, 30):
        house.write(lambda session, event, more=more: _more_jobs(session, event, more))
        with selects(house.database) as found:
            assert client.get(address).status_code in (200, 303)
        counts.append(len(found))
    assert counts[0] == counts[1]
