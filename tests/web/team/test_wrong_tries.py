"""Wrong passwords slow whoever guesses, and not who was signed in before."""

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import select

from desk.models import Account
from desk.models.database import Database
from desk.services.team import accounts, guessing
from tests import make
from tests.web.conftest import House
from tests.web.team.signing_in import sign_in


def test_five_wrong_tries_slow_the_sixth_even_when_it_is_right(house: House) -> None:
    for _ in range(5):
        sign_in(house.client(), "lead", "no")
    answer = sign_in(house.client(), "lead")
    assert answer.status_code == 422
    assert "Too many wrong tries" in answer.text


def test_the_wait_is_over_after_its_seconds(database: Database) -> None:
    now = datetime(2031, 5, 12, 12, tzinfo=UTC)
    with database.writing() as session:
        account = make.make_account(session, role="desk", wrong_tries=6, last_wrong_at=now)
        with pytest.raises(accounts.NotAllowed, match="Wait 11 seconds"):
            accounts.open_password_try(session, "desk", now=now)
        tried = accounts.open_password_try(session, "desk", now=now + timedelta(seconds=10))
        assert tried.row_id == account.id


def test_the_wait_doubles_up_to_a_minute() -> None:
    waits = [guessing.wait_after(tries).total_seconds() for tries in (4, 5, 6, 7, 30)]
    assert waits == [0, 5, 10, 20, 60]


@pytest.mark.parametrize("hours", [-1, 1, -24])
def test_no_clock_that_is_set_makes_a_wait_longer_than_a_minute(any_database: Database, hours: int) -> None:
    now = datetime(2031, 5, 12, 12, tzinfo=UTC)
    with any_database.writing() as session:
        make.make_account(session, role="desk", wrong_tries=30, last_wrong_at=now)
        accounts.open_password_try(session, "desk", now=now + timedelta(hours=max(hours, 0), seconds=60))
        with pytest.raises(accounts.NotAllowed, match=r"Wait 6[01] seconds"):
            accounts.open_password_try(session, "desk", now=now + timedelta(hours=hours))


def test_a_name_that_nobody_has_must_wait_like_one_that_somebody_has(house: House) -> None:
    answers = {}
    for name in ("desk", "nobody at all"):
        answers[name] = [sign_in(house.client(), name, "no").text for _ in range(7)]
    told = {name: ["Too many wrong tries" in text for text in texts] for name, texts in answers.items()}
    assert told["desk"] == told["nobody at all"] == [False] * 5 + [True] * 2


def test_wrong_tries_of_strangers_do_not_lock_out_a_browser_that_was_signed_in_before(house: House) -> None:
    own = house.client()
    sign_in(own, "lead")
    own.post("/sign-out")
    for _ in range(8):
        sign_in(house.client(), "lead", "no")
    assert "Too many wrong tries" in sign_in(house.client(), "lead").text
    assert sign_in(own, "lead").status_code == 303


def test_a_browser_that_was_signed_in_before_waits_for_its_own_wrong_tries(house: House) -> None:
    own = house.client()
    sign_in(own, "lead")
    assert ["Too many" in sign_in(own, "lead", "no").text for _ in range(7)] == [False] * 5 + [True] * 2


def test_a_right_password_forgets_the_wrong_ones(house: House) -> None:
    sign_in(house.client(), "lead", "no")
    sign_in(house.client(), "lead")
    assert house.scalars(select(Account.wrong_tries).where(Account.name == "lead")).one() == 0
