"""No screen offers a link or a touch that answers “your role does not include this”."""

import re
from collections.abc import Callable

import pytest
from flask import Flask
from sqlalchemy.orm import Session
from werkzeug.exceptions import HTTPException

from desk.models import Event
from desk.services.team.accounts import ROLES
from desk.web import access
from tests.web.browser.screens import SCREENS
from tests.web.scenes import full_house
from tests.web.scenes.scene import Scene

OFFERED = re.compile(r'<(a|form|button)\b[^>]*?\b(href|action|formaction)="(/[^"]*)"([^>]*)')


def offered(page: str) -> set[tuple[str, str]]:
    """Return (method, address) of every link, form and button of a page."""
    found = set()
    for tag, attribute, address, rest in OFFERED.findall(page):
        posts = tag != "a" and ("post" in f"{rest} {attribute}" or f'action="{address}"' in page)
        get_form = re.search(rf'<form[^>]*method="get"[^>]*action="{re.escape(address)}"', page)
        found.add(("POST" if posts and not get_form else "GET", address.replace("&amp;", "&")))
    return found


def endpoint_of(app: Flask, method: str, address: str) -> str | None:
    try:
        return app.url_map.bind("localhost").match(address.partition("?")[0].partition("#")[0], method)[0]
    except HTTPException:
        return None


def _few_racquets(session: Session, event: Event) -> Scene:
    return full_house.fill(session, event, jobs=20, stringers=4)


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.slow
def test_a_role_is_offered_only_what_it_may_do(furnished: Callable, role: str) -> None:
    house, filled = furnished(_few_racquets)
    client, beyond = house.as_role(role), set()
    for screen in SCREENS:
        answer = client.get(screen.address(filled))
        if answer.status_code != 200:
            continue
        for method, address in offered(answer.text):
            endpoint = endpoint_of(house.app, method, address)
            if endpoint is not None and not access.may(endpoint, role):
                beyond.add((screen.name, endpoint))
    assert sorted(beyond) == []
