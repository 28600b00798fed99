"""A table of persons by pages, and what each may read there: walked page by page, with every person's own sign-in.

The table is said by itself and not read from the application.
"""

from collections.abc import Callable
from dataclasses import dataclass

import pytest
from flask.testing import FlaskClient
from sqlalchemy import select

from desk.models import Stringer
from desk.services.team import accounts
from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene
from tests.web.scenes.scene import Scene

pytestmark = pytest.mark.slow

# L lead, F front desk (and the runner, who signs in as such), S stringer by PIN, O organiser, B the hall's board,
# P a player with their link, C a coach with their link, N nobody. A link opens its page to whoever holds it; the
# person of each column knows their own link only, so that other pages of links are asked with a guess.
PAGES: dict[str, tuple[str, Callable[[Scene], str]]] = {
    "now":                 ("LF------", lambda day: "/now"),
    "drop-off":            ("LF------", lambda day: f"/drop-off/{day.players[0].id}"),
    "on court":            ("LF------", lambda day: "/on-court"),
    "plan":                ("LFS-----", lambda day: "/plan"),
    "pickup":              ("LF------", lambda day: f"/pickup/{day.players[1].id}"),
    "runner":              ("LF------", lambda day: "/runner"),
    "a bench":             ("LFS-----", lambda day: f"/bench/{day.stringers[0].id}"),
    "a tag":               ("LFS-----", lambda day: f"/tag/{day.jobs[3].code}"),
    "job card":            ("LFS-----", lambda day: f"/print/card/{day.in_state('waiting')[0].code}"),
    "receipt":             ("LF------", lambda day: f"/print/receipt/{day.in_state('waiting')[0].drop_off_id}"),
    "search":              ("LFSO----", lambda day: "/search?q=bo"),
    "order of play":       ("LF------", lambda day: "/play"),
    "string":              ("LF------", lambda day: "/store"),
    "machines":            ("LF------", lambda day: "/machines"),
    "team":                ("LF------", lambda day: "/team"),
    "players":             ("LF------", lambda day: "/players"),
    "a player":            ("LF------", lambda day: f"/players/{day.players[1].id}"),
    "a player's account":  ("LF------", lambda day: f"/players/{day.players[1].id}/account"),
    "contacts":            ("LF------", lambda day: "/contacts"),
    "a contact":           ("LF------", lambda day: f"/contacts/{day.contacts[0].id}"),
    "a contact's link":    ("LF------", lambda day: f"/contacts/{day.contacts[0].id}/link"),
    "who pays":            ("LF------", lambda day: "/payers"),
    "a payer's account":   ("LF------", lambda day: f"/payers/{day.contacts[1].id}"),
    "invoice":             ("LF------", lambda day: "/invoice/1"),
    "referee's list":      ("LF------", lambda day: "/players/charges"),
    "what went wrong":     ("LF------", lambda day: "/mishaps"),
    "figures":             ("L--O----", lambda day: "/organiser"),
    "close of day":        ("L--O----", lambda day: "/close-of-day"),
    "log":                 ("LF-O----", lambda day: "/log"),
    "rehearsal":           ("L-------", lambda day: "/rehearsal"),
    "settings":            ("L-------", lambda day: "/settings"),
    "accounts":            ("L-------", lambda day: "/settings/people"),
    "hall board":          ("LFSOBPCN", lambda day: f"/board/{day.event.slug}"),
    "own page of a player":("LFSO-P--", lambda day: f"/p/{day.players[1].token}"),
    "page of a contact":   ("LFSO--C-", lambda day: f"/for/{day.contacts[0].token}"),
}  # fmt: skip
PERSONS = "LFSOBPCN"
PLAYER, COACH = 1, 0
"""Whose links P and C hold: the player and the contact of the scene."""


@dataclass(frozen=True)
class Walk:
    """The house in mid-action, with a client for each person."""

    house: House
    day: Scene
    clients: dict[str, FlaskClient]

    def get(self, person: str, address: str):
        return self.clients[person].get(self._as_known(person, address))

    def _as_known(self, person: str, address: str) -> str:
        """Return the address as that person knows it: somebody else's link is a guess."""
        mine = {"P": self.day.players[PLAYER].token, "C": self.day.contacts[COACH].token}
        token = address.rsplit("/", 1)[-1]
        is_link = address.startswith(("/p/", "/for/"))
        return address if not is_link or person in "LFSO" or mine.get(person) == token else f"{address}x"


@pytest.fixture
def walk(house: House, day: scene.Scene) -> Walk:
    roles = {"L": "lead", "F": "desk", "O": "organiser"}
    clients = {person: house.as_role(roles.get(person)) for person in PERSONS}
    clients["S"] = _by_pin(house, day.stringers[0].id)
    return Walk(house, day, clients)


def _by_pin(house: House, stringer_id: int) -> FlaskClient:
    """Return a bench's device on which a stringer signed in by PIN."""
    house.write(lambda session, event: accounts.set_pin(session, event.id, stringer_id, "4711", acting=make.acting()))
    client = house.as_role("lead")
    client.post("/trust-device", data={"name": "Bench 1"})
    client.post("/sign-out")
    assert client.post("/bench-sign-in", data={"stringer": stringer_id, "pin": "4711"}).status_code == 303
    return client


@pytest.mark.parametrize("page", PAGES)
def test_a_page_opens_for_whom_the_table_says(walk: Walk, page: str) -> None:
    allowed, address = PAGES[page]
    seen = {person: walk.get(person, address(walk.day)).status_code for person in PERSONS}
    assert {person for person, status in seen.items() if status == 200} == set(allowed) - {"-"}
    # Without sign-in one is asked for it, or told that the link is dead; with another role it is refused.
    turned_away = {"L": {403}, "F": {403}, "S": {403}, "O": {403}}
    for person, status in seen.items():
        assert status == 200 or status in turned_away.get(person, {303, 404}), person


def prices(text: str) -> bool:
    return "€" in text or " EUR" in text


def test_a_player_reads_of_nobody_else(walk: Walk) -> None:
    own = walk.get("P", f"/p/{walk.day.players[PLAYER].token}").text
    assert walk.day.players[PLAYER].name in own and prices(own)
    others = [*walk.day.players[:PLAYER], *walk.day.players[PLAYER + 1 :], *walk.day.contacts]
    assert [one.name for one in others if one.name in own] == []
    codes = {job.code: job.player_id for job in walk.day.jobs}
    assert {codes[code] for code in codes if code in own} == {walk.day.players[PLAYER].id}


def test_a_coach_reads_of_their_players_only_and_no_price_unless_allowed(walk: Walk) -> None:
    coach = walk.day.contacts[COACH]
    address = f"/for/{coach.token}"
    mine = {walk.day.players[number].id for number in (0, 1, 2, 4)}

    def read() -> str:
        return walk.get("C", address).text + walk.get("C", f"{address}/now/racquets").text

    page = read()
    for player in walk.day.players:
        assert (player.name in page) == (player.id in mine)
        assert f"/p/{player.token}" not in page
    codes = {job.code for job in walk.day.jobs if job.player_id not in mine}
    assert [code for code in codes if code in page] == []
    assert not prices(page) and coach.phone not in page and "crack" not in page

    def allow(session, event) -> None:
        link = next(one for one in session.get(type(coach), coach.id).players if one.player_id in mine)
        link.sees_prices = True
        event.revision += 1

    walk.house.write(allow)
    assert prices(read())


def test_a_player_taken_from_a_coach_is_seen_no_more(walk: Walk) -> None:
    coach, bo = walk.day.contacts[COACH], walk.day.players[1]
    walk.clients["F"].post(f"/contacts/{coach.id}/players/{bo.id}/remove")
    assert bo.name not in walk.get("C", f"/for/{coach.token}").text


def test_the_board_shows_no_price_no_note_and_names_as_the_event_chose(walk: Walk) -> None:
    walk.house.write(lambda _session, event: setattr(event, "board_names", "tag"))
    page = walk.get("B", f"/board/{walk.day.event.slug}").text
    assert [one.name for one in walk.day.players if one.name in page] == []
    assert not prices(page) and walk.day.contacts[0].phone not in page


def test_a_stringer_reads_no_price_and_no_telephone(walk: Walk) -> None:
    for name, (allowed, address) in PAGES.items():
        if "S" in allowed and not name.startswith(("own page", "page of")):
            text = walk.get("S", address(walk.day)).text
            assert not prices(text) and walk.day.contacts[0].phone not in text, name


def test_the_organiser_finds_players_by_name_and_opens_none_of_them(walk: Walk) -> None:
    found = walk.get("O", "/search?q=bo").text
    assert "/players/" not in found and "/contacts/" not in found


def test_a_stringer_who_left_reads_nothing_more(walk: Walk) -> None:
    def leave(session, event) -> None:
        stringer = session.scalars(select(Stringer).where(Stringer.id == walk.day.stringers[0].id)).one()
        stringer.pin_hash = ""
        event.revision += 1

    walk.house.write(leave)
    assert walk.get("S", "/benches").status_code == 303
