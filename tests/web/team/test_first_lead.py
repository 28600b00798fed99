"""The link by which the first lead comes in, and the first event."""

from datetime import datetime, timedelta

from flask import Flask

from desk.models.database import Database
from desk.services.team import account_links
from desk.trade.event.event_time import utc_now
from tests.web.conftest import PASSWORD, House

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
