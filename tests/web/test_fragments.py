"""Fragments: a 304 from one statement while nothing changed, a new tag when something did."""

from desk.services.bench import jobs
from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene
from tests.web.statements import selects

FRAGMENTS = ("/benches/lines", "/pickup/waiting", "/now/lines")


def test_an_unchanged_fragment_is_a_304_from_one_statement(house: House, day: scene.Scene) -> None:
    client = house.as_role("lead")
    for address in FRAGMENTS:
        tag = client.get(address).headers["ETag"]
        with selects(house.database) as found:
            again = client.get(address, headers={"If-None-Match": tag})
        assert (again.status_code, again.data, len(found)) == (304, b"", 1)


def test_a_change_gives_a_new_tag(house: House, day: scene.Scene) -> None:
    client = house.as_role("lead")
    tag = client.get("/pickup/waiting").headers["ETag"]
    waiting = day.in_state("waiting")[0].id
    with house.database.writing() as session:
        jobs.hold_job(session, house.event_id, waiting, "string is missing", acting=make.acting())
    assert client.get("/pickup/waiting", headers={"If-None-Match": tag}).status_code == 200


def test_a_minute_gives_a_new_tag_where_times_move(house: House, day: scene.Scene) -> None:
    client = house.as_role("lead")
    tag = client.get("/benches/lines").headers["ETag"]
    house.write(lambda session, event: make.set_clock(event, "Mon 12:44"))
    assert client.get("/benches/lines", headers={"If-None-Match": tag}).status_code == 200


def test_two_people_do_not_share_a_tag(house: House, day: scene.Scene) -> None:
    tags = {house.as_role(role).get("/benches/lines").headers["ETag"] for role in ("lead", "desk", "stringer")}
    assert len(tags) == 3
