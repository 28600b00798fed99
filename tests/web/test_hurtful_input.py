"""No address, form or query gives a 500, whatever is sent: a sample, or all with DESK_ALL_HURTFUL."""

import os

import pytest
from sqlalchemy import select

from desk.models import Event, Job, Player
from desk.models.database import Database
from tests.web import hurtful
from tests.web.conftest import House

pytestmark = pytest.mark.slow

SAMPLE = None if os.environ.get("DESK_ALL_HURTFUL") else 120
WORST_STEP = 1 if SAMPLE is None else 3


@pytest.fixture
def hurt_house(any_database: Database) -> House:
    return hurtful.open_house(any_database)


def test_nothing_that_is_sent_gives_a_500(hurt_house: House) -> None:
    sent, failed = hurtful.hurt(hurt_house, most=SAMPLE)
    assert sent >= 120
    assert [str(one) for one in failed] == []


def test_what_anybody_may_ask_gives_no_500(hurt_house: House) -> None:
    """The board, the player's page and the sign-in stand open to the whole hall."""
    client, answers = hurt_house.client(), {}
    for value in hurtful.WORST[::WORST_STEP]:
        text = value.replace("/", "%2F").replace("?", "%3F").replace("#", "%23") or "%20"
        for address in ("/board/{}", "/board/{}/lines", "/p/{}", "/p/{}/now/racquets", "/p/x/{}", "/welcome/{}", "/{}"):
            sent = hurtful.send(client, "GET", address.format(text), "address", value, None)
            answers[str(sent)] = sent.answer
        for name in ("name", "next"):
            form = {"name": "nobody", "password": "", "next": "/"} | {name: value}
            sent = hurtful.send(client, "POST", "/sign-in", name, value, form)
            answers[str(sent)] = sent.answer
    assert [text for text, answer in answers.items() if answer.startswith("5")] == []


def test_a_number_that_no_row_has_leads_to_no_page(hurt_house: House) -> None:
    client = hurt_house.as_role("lead")
    for number in (2**31, 2**63 - 1, 2**63, 2**64, 10**40):
        for address in ("/players/{}", "/bench/{}", "/plan/racquet/{}", "/store/reel/{}", "/print/receipt/{}"):
            assert client.get(address.format(number)).status_code == 404, address.format(number)


def test_a_number_larger_than_the_records_hold_is_a_fault_of_the_form(hurt_house: House) -> None:
    for name in ("position", "day_id"):
        form = {"day_id": 1, "court_id": 1, "position": 1, "format": "doubles", "start_kind": "at"} | {name: 2**63}
        assert hurt_house.as_role("lead").post("/play/match/new", data=form).status_code == 422


def test_no_way_back_leads_elsewhere_or_breaks_the_answer(house: House) -> None:
    for target in ("/now\r\nSet-Cookie: a=b", "//example.test", "/\\example.test", "//[x", "http:/x"):
        form = {"name": "lead", "password": "three plain words", "next": target}
        answer = house.client().post("/sign-in", data=form)
        assert (answer.status_code, answer.headers["Location"]) == (303, "/"), target


def test_an_event_of_another_age_is_a_fault_of_the_form(hurt_house: House) -> None:
    form = {"name": "Old Open", "days": 3, "opens": "08:00", "closes": "20:00", "currency": "EUR", "slug": "old"}
    client = hurt_house.as_role("lead")
    for day in ("0001-01-01", "9999-12-31", "1969-12-31", "2031-02-30", "10000-01-01"):
        asked = form | {"time_zone": "Pacific/Kiritimati", "first_day": day}
        assert client.post("/events/new", data=asked).status_code == 422, day
    assert len(hurt_house.scalars(select(Event)).all()) == 1


def test_a_racquet_held_then_cancelled_then_taken_back_is_held_again(hurt_house: House) -> None:
    client = hurt_house.as_role("lead")
    with hurt_house.database.reading() as session:
        job = session.scalars(select(Job).where(Job.state == "waiting")).first()
        player = session.get_one(Player, job.player_id)
    for action in ("hold", "cancel"):
        client.post(f"/tag/{job.code}/act", data={"action": action, "reason": "waits for the owner", "note": "x"})
    client.post(f"/tag/{job.code}/undo", data={})
    pages = ("/now", "/plan", "/benches", f"/tag/{job.code}", f"/plan/racquet/{job.id}", f"/p/{player.token}", "/log")
    assert {page: client.get(page).status_code for page in pages} == dict.fromkeys(pages, 200)


def test_a_body_beyond_all_reason_is_refused(hurt_house: House) -> None:
    answer = hurt_house.client().post("/sign-in", data={"name": "x" * 2_000_000})
    assert (answer.status_code, b"larger than 1 MB" in answer.data) == (413, True)
