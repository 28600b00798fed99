"""The runner's list: court, changeover, one touch, and back."""

import pytest
from sqlalchemy import select

from desk.models import HandOver, Job, Player
from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene


@pytest.fixture
def run(house: House, day: scene.Scene) -> Job:
    """A strung racquet of a player who is on Court 2 since 12:05."""
    job_id = day.in_state("strung")[-1].id
    return house.write(lambda session, event: _on_court(session, event, job_id))


def _on_court(session, event, job_id: int) -> Job:
    job, court = session.get_one(Job, job_id), make.make_court(session, event, name="Court 2")
    players = [session.get_one(Player, job.player_id), None]
    started = {"state": "on_court", "started_at": make.moment("Mon 12:05")}
    make.make_match(session, court, day=event.days[0], players=players, start="at 12:00", **started)
    job.on_court = True
    session.flush()
    return job


def test_it_names_the_court_and_the_next_changeover_as_an_estimate(house: House, run: Job) -> None:
    page = house.as_role("desk").get("/runner").text
    assert "Court 2" in page and run.code in page
    assert "Changeover about" in page and "12:52</time>" in page


def test_one_touch_hands_over_at_the_court_however_often_it_is_sent(house: House, run: Job) -> None:
    client = house.as_role("desk")
    assert [client.post(f"/runner/{run.id}").status_code for _ in range(2)] == [303, 303]
    with house.database.reading() as session:
        given = session.scalars(select(HandOver)).one()
        assert (given.collected_by, session.get_one(Job, run.id).state) == ("Court 2", "handed_over")


def test_a_wrong_touch_is_taken_back(house: House, run: Job) -> None:
    client = house.as_role("desk")
    client.post(f"/runner/{run.id}")
    given = house.scalars(select(HandOver.id)).one()
    client.post(f"/runner/undo/{given}")
    assert house.get(Job, run.id).state == "strung"


def test_what_is_not_strung_yet_has_no_touch(house: House, run: Job) -> None:
    page = house.as_role("desk").get("/runner").text
    assert page.count("Handed over<") == 1


def test_an_empty_list_says_what_will_appear(house: House) -> None:
    assert "Nothing goes to a court" in house.as_role("desk").get("/runner").text
