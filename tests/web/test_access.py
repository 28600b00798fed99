"""Every route with every role, held against the table of `who_may`."""

import pytest
from flask import Flask
from werkzeug.routing import Rule

from desk.services.team.accounts import ROLES, change_password, set_active
from desk.web.access import ACCESS, MENU, PUBLIC
from tests.web.conftest import House
from tests.web.who_may import FOR_ALL, FOR_LEAD, FOR_ORGANISER, FOR_STRINGER, may

pytestmark = pytest.mark.slow

REFUSED = "Your role does not include this"


def address(app: Flask, rule: Rule) -> str:
    """Return an address of RULE in which every part is filled with something that is not there."""
    parts = {name: converter.to_python("1") for name, converter in rule._converters.items()}
    return app.url_map.bind("localhost").build(rule.endpoint, parts, method=min(rule.methods or {"GET"}))


def walks(app: Flask) -> list[tuple[str, str, str]]:
    return [
        (rule.endpoint, method, address(app, rule))
        for rule in app.url_map.iter_rules()
        for method in sorted((rule.methods or set()) - {"HEAD", "OPTIONS"})
        if rule.endpoint != "static"
    ]


def test_the_table_names_every_route_and_no_other(empty_app: Flask) -> None:
    assert set(ACCESS) == {rule.endpoint for rule in empty_app.url_map.iter_rules()}


def test_what_is_said_here_names_routes_that_there_are() -> None:
    assert set(f"{FOR_ALL}{FOR_LEAD}{FOR_STRINGER}{FOR_ORGANISER}".split()) - set(ACCESS) == set()


def test_every_screen_in_the_menu_is_for_somebody() -> None:
    assert [name for name, *_ in MENU if name in ACCESS and ACCESS[name] in (PUBLIC, frozenset())] == []


@pytest.mark.parametrize("role", [None, *ROLES])
def test_a_role_reaches_what_it_should_and_nothing_else(house: House, role: str | None) -> None:
    unlike = []
    for endpoint, method, where in walks(house.app):
        answer = house.as_role(role).open(where, method=method)
        to_sign_in = answer.status_code == 303 and "/sign-in?" in answer.headers["Location"] + "?"
        refused = REFUSED in answer.text or (role is None and to_sign_in)
        public_way_to_sign_in = endpoint in ("sign_in.out", "sign_in.welcome")
        if refused == may(role, endpoint) and not public_way_to_sign_in:
            unlike.append((endpoint, method, answer.status))
    assert unlike == []


def test_a_fragment_asked_for_without_sign_in_is_not_sent_elsewhere(house: House) -> None:
    answer = house.client().get("/events", headers={"X-Fragment": "1"})
    assert answer.status_code == 401
    assert "<html" not in answer.text


def test_an_account_that_was_stopped_is_signed_out(house: House) -> None:
    client = house.as_role("desk")
    assert client.get("/events").status_code == 200
    with house.database.writing() as session:
        set_active(session, house.accounts["desk"], active=False)
    assert client.get("/events").status_code == 303


def test_a_new_password_ends_the_sessions_of_the_old_one(house: House) -> None:
    client = house.as_role("desk")
    with house.database.writing() as session:
        change_password(session, house.accounts["desk"], "other plain words")
    assert client.get("/events").status_code == 303


def test_every_answer_carries_the_guarding_headers(house: House) -> None:
    answer = house.client().get("/sign-in")
    assert answer.headers["Content-Security-Policy"].startswith("default-src 'self';")
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert answer.headers["X-Robots-Tag"] == "noindex, nofollow"


def test_a_form_without_its_token_is_refused(house: House) -> None:
    house.app.config["WTF_CSRF_ENABLED"] = True
    answer = house.as_role("lead").post("/events/new", data={"name": "Other Open"})
    assert answer.status_code == 400
    assert "too old" in answer.text
