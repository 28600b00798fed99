"""Two players of one name are told apart on every screen and sheet, by the code that the event has for them."""

import html
import re

import pytest
from sqlalchemy.orm import Session

from desk.models import Event, Player
from desk.queries.players.names import player_names, players_named
from desk.trade.event.names import search_name, shorter, surname
from tests import make
from tests.web.browser.screens import SCREENS
from tests.web.conftest import House
from tests.web.scenes import full_house

NAME = "Ilka Torvane"


def as_namesakes(session: Session, event: Event, *, places: tuple[int, ...]) -> list[Player]:
    players = session.query(Player).filter_by(event_id=event.id).order_by(Player.id).all()
    same = [player for number, player in enumerate(players) if number in places]
    for player in same:
        player.name, player.search_name = NAME, search_name(NAME)
    session.flush()
    return same


def untold(text: str) -> list[str]:
    """Return what stands around each mention of the name that no code follows."""
    shown = html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text)))
    return [shown[max(0, m.start() - 60) : m.end() + 30] for m in re.finditer(rf"{NAME}(?! \(P\d+\))", shown)]


def test_a_name_alone_is_a_name_and_two_have_their_codes(any_session: Session) -> None:
    event = make.make_event(any_session)
    other_event = make.make_event(any_session)
    for where, name, code in ((event, NAME, "P1"), (event, "ilka  torvané", "P2"), (event, "Bo Karrel", "P3")):
        make.make_player(any_session, where, name=name, search_name=search_name(name), code=code)
    make.make_player(any_session, other_event, name="Bo Karrel", search_name="bo karrel", code="P3")
    any_session.flush()
    assert list(player_names(any_session, event.id)) == ["Bo Karrel", f"{NAME} (P1)", "ilka  torvané (P2)"]
    one, two = players_named(any_session, event.id, NAME)
    assert (players_named(any_session, event.id, f"{NAME} (P1)"), len({one, two})) == ([one], 2)


def test_once_one_of_two_is_erased_the_other_is_alone(session: Session, event: Event) -> None:
    one, two = (make.make_player(session, event, name=NAME, search_name="ilka torvane") for _ in range(2))
    session.expire_all()
    assert one.called == f"{NAME} ({one.code})"
    one.name, one.search_name, one.erased_at = one.code, "", make.moment("Mon 12:00")
    session.flush()
    session.expire_all()
    assert (one.called, two.called) == (one.code, NAME)


def test_a_short_name_keeps_its_code() -> None:
    assert surname(f"{NAME} (P07)") == "Torvane (P07)"
    assert surname(NAME) == "Torvane"
    assert shorter("Maximiliano Alejandro Etxeberria (P07)", 24) == "M. A. Etxeberria (P07)"


@pytest.mark.slow
def test_every_screen_tells_namesakes_apart(house: House) -> None:
    def fill(session: Session, event: Event):
        filled = full_house.fill(session, event, jobs=40, stringers=4)
        as_namesakes(session, event, places=tuple(range(0, 40, 2)))
        return filled

    filled = house.write(fill)
    found, seen = {}, 0
    for screen in SCREENS:
        answer = house.as_role(screen.role).get(screen.address(filled))
        seen += answer.text.count(NAME)
        if unclear := untold(answer.text):
            found[screen.name] = unclear
    assert found == {}
    assert seen > 100
