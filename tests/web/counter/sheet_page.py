"""The page of a sheet of drop-offs, as a browser would send it on."""

import re
from collections.abc import Mapping
from html import unescape

from flask.testing import FlaskClient

from desk.models import Event
from tests import make
from tests.web.conftest import House

FIELDS = r'name="(checked|name|request_key)" type="hidden" value="([^"]*)"'


def fields_of(page: str) -> dict[str, object]:
    """Return what the page's form sends along: the rows that it shows to be taken in among it."""
    found = {name: unescape(value) for name, value in re.findall(FIELDS, page)}
    return found | {"row": re.findall(r'name="row" value="(\d+)"', page)}


def desk_of(house: House, players: Mapping[str, str], benches: int = 1) -> FlaskClient:
    """Return the desk's client of an event with these players, a frame F1, a string S1 and so many benches."""

    def fill(session, event: Event) -> None:
        event.calibration_required = False
        make.make_reel(session, make.make_string(session, event, code="S1"))
        make.make_frame(session, event, code="F1")
        for code, name in players.items():
            make.make_player(session, event, code=code, name=name)
        for _ in range(benches):
            make.make_stringer(session, event, home_machine_id=make.make_machine(session, event).id)

    house.write(fill)
    return house.as_role("desk")
