"""The screen on which an earlier event is taken over."""

import pytest

from desk.models import KnownCard, Player
from tests import make
from tests.web.conftest import House


@pytest.fixture
def two(house: House) -> tuple[House, int]:
    """A house with a player here, and an earlier event where the same person was written in another way."""

    def fill(session, event) -> int:
        before = make.make_event(session, slug="before", name="Harbour Week")
        make.make_job(session, make.make_player(session, before, name="Ilka Torvane", code="P7"))
        make.make_player(session, event, name="Ilca Torvane", code="Q1")
        return before.id

    return house, house.write(fill)


def count(house: House, table: type) -> int:
    with house.database.reading() as session:
        return session.query(table).count()


def test_the_page_says_who_comes_again_and_asks_about_two_spellings(two):
    house, before = two
    page = house.as_role("lead").get(f"/take-over?earlier={before}").text
    assert "<strong>1</strong> to be asked about" in page
    assert "is Ilca Torvane (Q1)" in page


def test_nothing_is_taken_before_the_answer(two):
    house, before = two
    answer = house.as_role("lead").post(f"/take-over/{before}", data={"parts": ["players", "cards"], "who-P7": "-"})
    assert answer.status_code == 422
    assert "Ilka Torvane" in answer.text
    assert count(house, KnownCard) == 0


@pytest.mark.parametrize(("said", "players"), [("Q1", 2), ("new", 3)])
def test_the_answer_decides_who_it_is(two, said, players):
    house, before = two
    sent = {"parts": ["players", "cards"], "who-P7": said}
    assert house.as_role("lead").post(f"/take-over/{before}", data=sent).status_code == 303
    assert (count(house, Player), count(house, KnownCard)) == (players, 1)


def test_an_event_that_is_not_there_is_not_taken_over(two):
    house, _ = two
    assert house.as_role("lead").post("/take-over/977", data={"parts": "players"}).status_code == 404


def test_the_first_steps_begin_with_the_earlier_event(two):
    house, _ = two
    assert "Its players, cards, team and prices can be taken over." in house.as_role("lead").get("/now").text
