"""Signing in by password, what a session opens, and how it ends."""

from datetime import datetime, timedelta
from types import SimpleNamespace

import pytest

from desk.models.database import Database
from desk.services.team import accounts
from desk.web import create_app, security
from tests.web.conftest import PASSWORD, House
from tests.web.team.signing_in import sign_in


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


@pytest.mark.parametrize("target", ["https://example.org/", "//example.org", "/\\example.org", "javascript:alert(1)"])
def test_the_way_back_never_leads_outside(house: House, target: str) -> None:
    assert sign_in(house.client(), "lead", next=target).headers["Location"] == "/"


def test_the_way_back_leads_to_the_page_that_asked(house: House) -> None:
    assert sign_in(house.client(), "lead", next="/events?x=1").headers["Location"] == "/events?x=1"


def test_signing_out_ends_the_session(house: House) -> None:
    client = house.as_role("lead")
    client.post("/sign-out")
    assert client.get("/events").status_code == 303
