"""A club weekend without matches: fewer screens, visitors by name and telephone, the price first, paid at pickup."""

import re

import pytest
from flask.testing import FlaskClient
from sqlalchemy import select

from desk.models import Charge, Event, Job, Player, Settlement
from desk.services.acting import Acting
from desk.services.bench.jobs import BENCH_CHECKS, Finish, finish_job, start_job
from tests import make
from tests.web.conftest import House
from tests.web.who_may import may

SHOWN = re.compile(r'name="(shown-\d+)" value="([^"]+)"')
MENU = re.compile(r'<nav id="menu".*?</nav>', re.DOTALL)
WITHOUT = ("/play", "/on-court", "/runner", "/rehearsal", "/shift", "/drop-off-sheet")


def _club(session, event: Event) -> None:
    event.kind, event.calibration_required = "club_weekend", False
    make.make_frame(session, event)
    string = make.make_string(session, event)
    make.make_reel(session, string)
    make.make_stringer(session, event, home_machine_id=make.make_machine(session, event).id)
    make.make_price(session, event, "labour", 1600)
    make.make_price(session, event, "string", 1400, string_type_id=string.id, per="set")


@pytest.fixture
def club(house: House) -> FlaskClient:
    house.write(_club)
    return house.as_role("lead")


def test_the_menu_shows_no_screen_of_matches_courts_or_shifts(club: FlaskClient) -> None:
    found = MENU.search(club.get("/pickup").text)
    assert found is not None
    for word in ("Order of play", "To the courts", "Rehearsal", "Shift handover"):
        assert word not in found[0]
    assert "On court" not in club.get("/pickup").text


@pytest.mark.parametrize("address", WITHOUT)
def test_a_screen_that_does_not_apply_says_so(club: FlaskClient, house: House, address: str) -> None:
    answer = club.get(address)
    assert answer.status_code == 404
    assert "A club weekend has no such screen" in answer.text
    house.write(lambda _session, event: setattr(event, "kind", "tournament"))
    assert club.get(address).status_code == 200


def test_first_steps_leave_the_order_of_play_out(house: House) -> None:
    house.write(lambda _session, event: setattr(event, "kind", "club_weekend"))
    page = house.as_role("lead").get("/now").text
    assert "To a running desk" in page and "Price list" in page and "Order of play" not in page


def test_what_is_wanted_by_tomorrow_is_strung_as_soon_as_there_is_time(club: FlaskClient) -> None:
    """At a tournament a bed wanted in 23 hours would wait to be fresh; a visitor's does not."""
    address = f"/drop-off/{_visitor(club)}"
    club.post(address, data={"do": "racquet", "new-frame_id": "1", "new-count": "1"})
    card = {"r1-take": "y", "r1-mains_string_id": "1", "r1-mains_tension": "52", "r1-unit": "lb", "r1-pieces": "2"}
    shown = [dict(SHOWN.findall(club.post(f"{address}/ready", data=card | wanted).text)) for wanted in (
        {"needed_by_kind": "none"}, {"needed_by_kind": "time", "needed_by_time": "Tue 11:00"})]  # fmt: skip
    assert shown[0] == shown[1] != {}


def test_nothing_of_matches_stands_on_now(club: FlaskClient) -> None:
    page = club.get("/now").text
    assert "matches" not in page and "Accounts" not in page


def test_one_stringer_is_one_bench(club: FlaskClient) -> None:
    assert club.get("/benches").headers["Location"].endswith("/bench/1")


def test_a_visitor_without_a_telephone_is_not_added(club: FlaskClient, house: House) -> None:
    answer = club.post("/drop-off/players", data={"name": "Ada Wickering"})
    assert (answer.status_code, "give the telephone number" in answer.text) == (422, True)
    assert "Another player of the same name" not in answer.text
    assert house.scalars(select(Player)).all() == []


def _visitor(club: FlaskClient) -> int:
    answer = club.post("/drop-off/players", data={"name": "Ada Wickering", "phone": "+44 1632 960101"})
    return int(answer.headers["Location"].rsplit("/", 1)[1])


def test_a_visitor_s_racquet_from_counter_to_receipt(club: FlaskClient, house: House) -> None:
    """16.00 of labour and a set at 14.00 are 30.00, said before it is accepted and paid when it is fetched."""
    address = f"/drop-off/{_visitor(club)}"
    club.post(address, data={"do": "racquet", "new-frame_id": "1", "new-count": "1"})
    page = club.get(address).text
    assert "Wanted by" in page and "+44 1632 960101" in page and "Next match" not in page
    card = {"r1-take": "y", "r1-mains_string_id": "1", "r1-mains_tension": "52", "r1-unit": "lb", "r1-pieces": "2"}
    asked = card | {"needed_by_kind": "time", "needed_by_time": "Tue 12:00"}
    ready = club.post(f"{address}/ready", data=asked).text
    assert "About <strong>30.00 EUR</strong>" in ready
    sent = asked | dict(SHOWN.findall(ready)) | {"do": "accept", "request_key": "one"}
    assert "/drop-off/taken/" in club.post(address, data=sent).headers["Location"]
    assert "30.00 EUR" in club.get("/print/receipt/1").text
    _string(house)
    pickup = {"jobs": ["1"], "who": "Ada Wickering"}
    refused = club.post("/pickup/1", data=pickup)
    assert (refused.status_code, "say how it is paid" in refused.text) == (422, True)
    taken = club.post("/pickup/1", data=pickup | {"payment": "cash"})
    assert taken.headers["Location"].endswith("/players/1/account")
    assert "Handed over to Ada Wickering" in club.get(taken.headers["Location"]).text
    with house.database.reading() as session:
        job = session.get_one(Job, 1)
        assert (job.state, job.needed_by_kind, job.needed_by_at) == ("handed_over", "time", make.moment("Tue 12:00"))
        assert (
            sum(session.scalars(select(Charge.amount_minor))) == session.scalar(select(Settlement.amount_minor)) == 3000
        )


def _string(house: House) -> None:
    def work(session, event: Event) -> None:
        start_job(
            session, event.id, 1, stringer_id=1, machine_id=1, acting=Acting(by="Bo", at=make.moment("Mon 12:10"))
        )
        done = Acting(by="Bo", at=make.moment("Mon 12:40"))
        finish_job(session, event.id, 1, Finish(checks=BENCH_CHECKS), acting=done)

    house.write(work)


def test_a_new_event_may_be_a_club_weekend(house: House) -> None:
    data = {
        "name": "Mill Lane", "kind": "club_weekend", "time_zone": "Europe/London", "currency": "GBP",
        "first_day": "2031-06-07", "days": "2", "opens": "09:00", "closes": "18:00",
    }  # fmt: skip
    assert house.as_role("lead").post("/events/new", data=data).status_code == 303
    with house.database.reading() as session:
        made = session.scalars(select(Event).where(Event.name == "Mill Lane")).one()
        assert made.kind == "club_weekend"


def test_who_may_what_is_the_same_at_every_kind_of_event(club: FlaskClient, house: House) -> None:
    """What a club weekend has is for the same roles as at a tournament."""
    for address, endpoint in (
        ("/machines", "machines.page"),
        ("/settings", "settings.page"),
        ("/pickup", "pickup.page"),
    ):
        for role in ("lead", "desk", "stringer", "organiser"):
            assert (house.as_role(role).get(address).status_code == 200) == may(role, endpoint), (role, address)
