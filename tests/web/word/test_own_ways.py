"""Asking for word on one's own page: by a link alone, masked, in one's language, and ended by one touch."""

import json

import pytest
from sqlalchemy import select

from desk.models import Event, WordWay
from desk.services.event.settings import change_settings
from desk.services.players.contacts import new_contact_link
from desk.web.security import HEADERS
from tests import make
from tests.services.word.phone import Phone
from tests.web.conftest import House
from tests.web.scenes import scene

ADDRESS = "ilka@example.org"
ENDPOINT = "https://push.example.org/send/abc"


@pytest.fixture(autouse=True)
def public(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DESK_PUBLIC_URL", "https://desk.example.org")


@pytest.fixture
def token(day: scene.Scene) -> str:
    return day.players[0].token


def ways(house: House, address: str = ADDRESS) -> list[WordWay]:
    return list(house.scalars(select(WordWay).where(WordWay.address == address)))


def subscription(endpoint: str = ENDPOINT, **keys: str) -> dict:
    return {"endpoint": endpoint, "keys": Phone.new().keys | keys}


def test_an_address_is_kept_with_its_language_and_shown_masked(house: House, token: str) -> None:
    answer = house.client().post(f"/p/{token}/word/mail?lang=de", data={"address": f" {ADDRESS} "})
    assert (answer.status_code, answer.headers["Location"]) == (303, f"/p/{token}?lang=de&asked=done#word")
    (way,) = ways(house)
    assert (way.kind, way.language, way.by) == ("mail", "de", "the own page")
    page = house.client().get(f"/p/{token}?lang=de").text
    assert ("i…@example.org" in page, ADDRESS in page) == (True, False)
    confirmed = house.client().get(f"/p/{token}?lang=en&asked=done").text
    assert "From now on you are told when a racquet is ready, changed or late." in confirmed


@pytest.mark.parametrize("mail", [True, False])
def test_on_plain_http_the_page_offers_what_works(
    mail: bool, house: House, token: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DESK_PUBLIC_URL", "http://desk.example.org")
    house.write(
        lambda session, event: change_settings(session, event.id, {"mail_by_players": mail}, acting=make.acting())
    )
    page = house.client().get(f"/p/{token}?lang=en").text
    stays = "This page shows it as soon as it changes: leave it open, or ask at the desk."
    assert ('name="address"' in page, stays in page) == (mail, not mail)
    assert 'id="phone-place"' not in page and "https" not in page.split('id="word"')[1].split("</details>")[0]


def test_no_cookie_and_no_token_of_a_form_is_needed_since_the_link_is_the_key(house: House, token: str) -> None:
    house.app.config["WTF_CSRF_ENABLED"] = True
    answer = house.client().post(f"/p/{token}/word/mail", data={"address": ADDRESS})
    assert (answer.status_code, len(ways(house)), answer.headers.get("Set-Cookie")) == (303, 1, None)
    assert house.client().post("/p/another/word/mail", data={"address": ADDRESS}).status_code == 404


def test_what_is_no_address_is_said_in_the_players_language(house: House, token: str) -> None:
    answer = house.client().post(f"/p/{token}/word/mail?lang=it", data={"address": "ilka"}, follow_redirects=True)
    assert "Questo non è un indirizzo e-mail" in answer.text
    assert ways(house, "ilka") == []


def test_where_the_desk_alone_enters_addresses_the_page_takes_none(house: House, token: str) -> None:
    house.write(
        lambda session, event: change_settings(session, event.id, {"mail_by_players": False}, acting=make.acting())
    )
    assert 'name="address"' not in house.client().get(f"/p/{token}").text
    house.client().post(f"/p/{token}/word/mail", data={"address": ADDRESS})
    assert ways(house) == []


def test_where_nobody_is_told_nothing_is_offered(house: House, token: str) -> None:
    house.write(
        lambda session, event: change_settings(session, event.id, {"tells_anybody": False}, acting=make.acting())
    )
    assert 'id="word"' not in house.client().get(f"/p/{token}").text
    assert house.client().post(f"/p/{token}/word/phone", json=subscription()).status_code == 409


def test_a_phone_is_told_and_ends_it_by_one_touch(house: House, token: str) -> None:
    answer = house.client().post(f"/p/{token}/word/phone?lang=fr", json=subscription())
    assert answer.status_code == 200
    (way,) = ways(house, ENDPOINT)
    assert (way.kind, way.language) == ("phone", "fr")
    ended = house.client().post(answer.json["end"], headers={"X-Fragment": "1"})
    assert (ended.status_code, ways(house, ENDPOINT)) == (204, [])
    assert house.client().post(answer.json["end"]).status_code == 404


@pytest.mark.parametrize(
    "sent",
    [
        subscription("http://push.example.org/send"),
        subscription("https://127.0.0.1/send"),
        subscription("https://localhost/send"),
        subscription("https://[::1]/send"),
        subscription("https://push.example.org:8443/send"),
        subscription("https://user@push.example.org/send"),
        subscription("https://2130706433/send"),
        subscription(ENDPOINT, p256dh="short"),
        subscription(ENDPOINT, auth="short"),
        subscription("https://push.example.org/" + "x" * 2000),
    ],
)
def test_an_address_that_leads_elsewhere_is_refused(house: House, token: str, sent: dict) -> None:
    before = len(ways(house, sent["endpoint"]))
    assert house.client().post(f"/p/{token}/word/phone", json=sent).status_code == 422
    assert len(ways(house, sent["endpoint"])) == before


@pytest.mark.parametrize("sent", [[], {}, {"endpoint": ENDPOINT}, {"endpoint": 1, "keys": {}}, "x", None, {"keys": []}])
def test_what_is_no_subscription_is_refused(house: House, token: str, sent: object) -> None:
    answer = house.client().post(f"/p/{token}/word/phone", data=json.dumps(sent), content_type="application/json")
    assert (answer.status_code, ways(house, ENDPOINT)) == (400, [])


def test_without_https_no_phone_is_told(house: House, token: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DESK_PUBLIC_URL", "http://desk.example.org")
    page = house.client().get(f"/p/{token}?lang=en").text
    assert ("data-key=" in page, 'name="address"' in page) == (False, True)
    assert house.client().post(f"/p/{token}/word/phone", json=subscription()).status_code == 400


def test_a_way_of_another_player_is_not_ended_by_this_link(house: House, token: str) -> None:
    house.client().post(f"/p/{token}/word/mail", data={"address": ADDRESS})
    (way,) = ways(house)
    other = house.write(lambda session, event: make.make_player(session, event, name="Somebody Else").token)
    assert house.client().post(f"/p/{other}/word/{way.id}/end").status_code == 404
    assert len(ways(house)) == 1


def test_the_link_in_a_message_asks_once_and_a_mail_program_ends_it_at_once(house: House, token: str) -> None:
    """RFC 8058, 3.2: the POST carries List-Unsubscribe=One-Click and no cookie."""
    house.app.config["WTF_CSRF_ENABLED"] = True
    house.client().post(f"/p/{token}/word/mail", data={"address": ADDRESS})
    link = f"/word/stop/{ways(house)[0].stop_token}"
    assert "Tell me no more" in house.client().get(f"{link}?lang=en").text
    assert len(ways(house)) == 1
    for _ in range(2):
        answer = house.client().post(f"{link}?lang=en", data={"List-Unsubscribe": "One-Click"})
        assert (answer.status_code, "You are told no more" in answer.text, ways(house)) == (200, True, [])
    assert house.client().get("/word/stop/unknown").status_code == 404


def test_the_manifest_puts_the_players_own_page_on_the_home_screen(house: House, token: str) -> None:
    """W3C Web Application Manifest: start_url within scope, a display of its own, a name."""
    answer = house.client().get(f"/p/{token}/app.webmanifest?lang=de")
    assert answer.mimetype == "application/manifest+json"
    told = answer.json
    assert (told["start_url"], told["scope"], told["display"]) == (f"/p/{token}", "/p/", "standalone")
    assert told["name"].startswith("Ihre Schläger · ")
    assert f"/p/{token}/app.webmanifest" in house.client().get(f"/p/{token}").text


def test_the_worker_is_a_script_of_the_desk_from_above_every_page(house: House) -> None:
    answer = house.client().get("/word-worker.js")
    assert (answer.mimetype, answer.headers["Cache-Control"]) == ("text/javascript", "no-cache")
    assert answer.headers["Content-Security-Policy"] == HEADERS["Content-Security-Policy"]


def test_a_demo_says_that_nothing_is_sent(house: House, token: str) -> None:
    assert "This is a demo: nothing is sent." in house.client().get(f"/p/{token}?lang=en").text
    house.write(lambda _session, event: setattr(event, "clock_real_at", None))
    assert "This is a demo" not in house.client().get(f"/p/{token}?lang=en").text


def test_the_racquet_says_by_which_way_and_when_it_was_told(house: House, day: scene.Scene) -> None:
    page = house.client().get(f"/p/{day.in_state('strung')[0].player.token}?lang=en").text
    assert "Told by e-mail at 12:31." in page
    assert house.get(Event, house.event_id).name in page


def test_a_contact_that_is_to_be_told_nothing_is_offered_nothing(house: House) -> None:
    def add(session, event: Event):
        return make.make_contact(session, event, make.make_player(session, event), is_told=False).token

    assert 'id="word"' not in house.client().get(f"/for/{house.write(add)}").text


def test_a_contact_asks_on_its_own_page_and_a_new_link_ends_that(house: House) -> None:
    def add(session, event: Event):
        contact = make.make_contact(session, event, make.make_player(session, event), is_told=True)
        return contact.id, contact.token

    contact_id, token = house.write(add)
    page = house.client().get(f"/for/{token}?lang=en").text
    assert (f"/for/{token}/app.webmanifest" in page, 'name="address"' in page) == (True, True)
    house.client().post(f"/for/{token}/word/mail?lang=es", data={"address": ADDRESS})
    assert house.client().post(f"/for/{token}/word/phone", json=subscription()).status_code == 200
    (way,) = ways(house)
    assert (way.contact_id, way.player_id, way.language) == (contact_id, None, "es")
    assert "i…@example.org" in house.client().get(f"/for/{token}").text
    assert "ilka@example.org" in house.as_role("desk").get(f"/contacts/{contact_id}").text
    house.write(lambda session, event: new_contact_link(session, event.id, contact_id, acting=make.acting()))
    assert (ways(house), ways(house, ENDPOINT)) == ([], [])
    assert house.client().post(f"/for/{token}/word/mail", data={"address": ADDRESS}).status_code == 404
