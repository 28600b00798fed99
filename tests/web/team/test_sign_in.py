"""Signing in by password and by PIN, and what slows a guesser."""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import select

from desk.models import Account, Event, Stringer, TrustedDevice
from desk.models.database import Database
from desk.services.team import account_links, accounts, guessing
from desk.trade.event.event_time import utc_now
from desk.web import create_app, security
from tests import make
from tests.web.conftest import PASSWORD, House


def sign_in(client: FlaskClient, name: str, password: str = PASSWORD, **more: str):
    return client.post("/sign-in", data={"name": name, "password": password, **more})


def test_the_right_password_leads_to_the_first_screen(house: House) -> None:
    client = house.client()
    answer = sign_in(client, "lead")
    assert (answer.status_code, answer.headers["Location"]) == (303, "/")
    cookie = answer.headers["Set-Cookie"]
    assert "HttpOnly" in cookie and "SameSite=Lax" in cookie and "Expires" in cookie


def test_a_session_ends_by_itself(house: House) -> None:
    client = house.as_role("lead")
    assert client.get("/now").status_code == 200
    house.app.config["PERMANENT_SESSION_LIFETIME"] = timedelta(seconds=-1)
    answer = client.get("/now")
    assert answer.status_code in (302, 303)
    assert "/sign-in" in answer.headers["Location"]


def test_a_wrong_password_and_an_unknown_name_read_the_same(house: House) -> None:
    wrong, unknown = sign_in(house.client(), "lead", "no"), sign_in(house.client(), "nobody", "no")
    assert wrong.status_code == unknown.status_code == 422
    sentence = "Name and password do not match"
    assert sentence in wrong.text and sentence in unknown.text


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
def test_no_clock_that_is_set_makes_a_wait_longer_than_a_minute(database: Database, hours: int) -> None:
    now = datetime(2031, 5, 12, 12, tzinfo=UTC)
    with database.writing() as session:
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


def test_a_cookie_from_before_the_sign_out_opens_nothing(house: House) -> None:
    client = house.client()
    sign_in(client, "lead")
    kept = client.get_cookie("desk").value
    assert client.get("/settings/people").status_code == 200
    client.post("/sign-out")
    thief = house.client()
    thief.set_cookie("desk", kept)
    assert "/sign-in" in thief.get("/settings/people").headers["Location"]


def test_who_was_put_off_and_let_in_again_signs_in_anew(house: House) -> None:
    client = house.client()
    sign_in(client, "desk")
    for active in (False, True):
        house.write(
            lambda session, _event, active=active: accounts.set_active(session, house.accounts["desk"], active=active)
        )
    assert "/sign-in" in client.get("/now").headers["Location"]


@pytest.mark.parametrize("hours", [-2, 2])
def test_a_clock_set_by_some_hours_ends_no_session(house: House, hours: int, monkeypatch) -> None:
    client = house.as_role("lead")
    assert client.get("/now").status_code == 200

    ahead = timedelta(hours=hours)
    monkeypatch.setattr(security, "datetime", SimpleNamespace(now=lambda zone: datetime.now(zone) + ahead))
    assert client.get("/now").status_code == 200
    ahead = timedelta(days=2)
    assert client.get("/now").status_code == 303


def test_behind_a_proxy_cookies_are_for_tls_only(database: Database, house: House, monkeypatch) -> None:
    monkeypatch.setenv("DESK_BEHIND_PROXY", "1")
    client = create_app(database, WTF_CSRF_ENABLED=False).test_client()
    said = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.7", "X-Forwarded-Host": "desk.example"}
    answer = client.post("/sign-in", data={"name": "lead", "password": PASSWORD}, headers=said)
    assert all("Secure" in cookie for cookie in answer.headers.getlist("Set-Cookie"))
    assert answer.headers["Strict-Transport-Security"] == "max-age=15552000"


def test_a_right_password_forgets_the_wrong_ones(house: House) -> None:
    sign_in(house.client(), "lead", "no")
    sign_in(house.client(), "lead")
    assert house.scalars(select(Account.wrong_tries).where(Account.name == "lead")).one() == 0


@pytest.mark.parametrize("target", ["https://example.org/", "//example.org", "/\\example.org", "javascript:alert(1)"])
def test_the_way_back_never_leads_outside(house: House, target: str) -> None:
    assert sign_in(house.client(), "lead", next=target).headers["Location"] == "/"


def test_the_way_back_leads_to_the_page_that_asked(house: House) -> None:
    assert sign_in(house.client(), "lead", next="/events?x=1").headers["Location"] == "/events?x=1"


def test_signing_out_ends_the_session(house: House) -> None:
    client = house.as_role("lead")
    client.post("/sign-out")
    assert client.get("/events").status_code == 303


def trusted(house: House, pin: str = "4711") -> tuple[FlaskClient, int]:
    """Return a client on a device that the lead has trusted, and a stringer with a PIN."""

    def add(session, event: Event) -> int:
        stringer = make.make_stringer(session, event)
        accounts.set_pin(session, event.id, stringer.id, pin, acting=make.acting())
        return stringer.id

    stringer_id = house.write(add)
    client = house.as_role("lead")
    answer = client.post("/trust-device", data={"name": "tablet at bench 1"})
    assert answer.status_code == 303
    return client, stringer_id


def test_a_stringer_signs_in_by_pin_on_a_trusted_device(house: House) -> None:
    client, stringer_id = trusted(house)
    answer = client.post("/bench-sign-in", data={"stringer": stringer_id, "pin": "4711"})
    assert answer.status_code == 303
    assert "Stringer 1" in client.get("/events").text


def test_a_device_that_nobody_trusted_has_no_pins(house: House) -> None:
    _, stringer_id = trusted(house)
    answer = house.client().post("/bench-sign-in", data={"stringer": stringer_id, "pin": "4711"})
    assert answer.status_code == 403


def test_a_withdrawn_device_signs_out_whoever_is_on_it(house: House) -> None:
    client, stringer_id = trusted(house)
    client.post("/bench-sign-in", data={"stringer": stringer_id, "pin": "4711"})

    def withdraw(session, event: Event) -> None:
        device = session.scalars(select(TrustedDevice)).one()
        accounts.withdraw_device(session, event.id, device.id, acting=make.acting())

    house.write(withdraw)
    assert client.get("/events").status_code == 303


def test_wrong_pins_slow_the_device(house: House) -> None:
    client, stringer_id = trusted(house)
    for _ in range(5):
        client.post("/bench-sign-in", data={"stringer": stringer_id, "pin": "0000"})
    answer = client.post("/bench-sign-in", data={"stringer": stringer_id, "pin": "4711"})
    assert answer.status_code == 422
    assert "Too many wrong tries" in answer.text


@pytest.mark.parametrize("pin", ["123", "123456789", "12a4"])
def test_a_pin_is_four_to_eight_digits(house: House, pin: str) -> None:
    def add(session, event: Event) -> None:
        accounts.set_pin(session, event.id, make.make_stringer(session, event).id, pin, acting=make.acting())

    with pytest.raises(accounts.BadInput, match="4 to 8 digits"):
        house.write(add)


def test_no_pin_hash_means_no_sign_in_by_pin(house: House) -> None:
    client, _ = trusted(house)
    other = house.write(lambda session, event: make.make_stringer(session, event).id)
    assert client.post("/bench-sign-in", data={"stringer": other, "pin": ""}).status_code == 422
    assert house.get(Stringer, other).pin_hash == ""


EVENT = {
    "name": "Testfield Open",
    "town": "Testfield",
    "desk_place": "Hall B",
    "time_zone": "Europe/Vienna",
    "currency": "EUR",
    "first_day": "2031-05-12",
    "days": "3",
    "opens": "08:00",
    "closes": "24:30",
}


def lead_link(database: Database, *, now: datetime | None = None) -> str:
    with database.writing() as session:
        return f"/welcome/{account_links.make_lead(session, 'Ada', now=now or utc_now()).token}"


def test_the_leads_link_opens_empty_records_once(empty_app: Flask, database: Database) -> None:
    link, client = lead_link(database), empty_app.test_client()
    assert "Ada" in client.get(link).text
    assert client.post(link, data={"password": PASSWORD}).status_code == 303
    assert client.get("/events").headers["Location"] == "/events/new"
    assert client.post("/events/new", data=EVENT).status_code == 303
    page = client.get("/events")
    assert "Testfield Open" in page.text and "Ada" in page.text
    assert empty_app.test_client().post(link, data={"password": "quite other words"}).status_code == 404


def test_nobody_becomes_lead_by_coming_first(empty_app: Flask, database: Database) -> None:
    lead_link(database)
    client = empty_app.test_client()
    assert client.get("/events/new").headers["Location"].startswith("/sign-in")
    assert client.post("/sign-in", data={"name": "Ada", "password": ""}).status_code == 422
    assert client.get("/welcome/guessed").status_code == 404


def test_a_link_of_yesterday_is_refused(empty_app: Flask, database: Database) -> None:
    link = lead_link(database, now=utc_now() - timedelta(hours=25))
    answer = empty_app.test_client().post(link, data={"password": PASSWORD})
    assert answer.status_code == 404
    assert "account reset" in answer.text


def test_a_second_lead_is_not_made_by_starting_again(house: House) -> None:
    with house.database.writing() as session:
        assert account_links.make_lead(session, "Eve", now=utc_now()) is None


def test_a_new_event_keeps_what_was_typed_and_says_what_is_wrong(house: House) -> None:
    answer = house.as_role("lead").post("/events/new", data=EVENT | {"time_zone": "Vienna", "closes": "07:00"})
    assert answer.status_code == 422
    assert 'value="Vienna"' in answer.text and "is no time zone" in answer.text


def test_a_weak_password_is_refused_and_the_link_goes_on(empty_app: Flask, database: Database) -> None:
    link = lead_link(database)
    answer = empty_app.test_client().post(link, data={"password": "short"})
    assert answer.status_code == 422
    assert "at least 8 characters" in answer.text
    assert empty_app.test_client().get(link).status_code == 200
