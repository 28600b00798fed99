"""One field finds anything, for whoever may open it."""

from collections.abc import Callable

import pytest

from desk.models import Job, Match, Player, StringType
from tests.web.conftest import House
from tests.web.scenes.scene_play import whole_scene


@pytest.fixture
def filled(furnished: Callable) -> House:
    return furnished(whole_scene)[0]


@pytest.mark.parametrize(("table", "column"), [(Player, "name"), (Match, "code"), (StringType, "name")])
def test_each_thing_is_found_by_its_name(filled: House, table: type, column: str) -> None:
    with filled.database.reading() as session:
        name = getattr(session.query(table).first(), column)
    answer = filled.as_role("desk").get("/search", query_string={"q": name})
    assert f">{name}" in answer.text


def test_a_screen_is_found_by_its_word(filled: House) -> None:
    assert 'href="/machines">Machines</a>' in filled.as_role("desk").get("/search?q=mach").text


def test_nothing_is_shown_that_the_role_may_not_open(filled: House) -> None:
    with filled.database.reading() as session:
        name = session.query(Player.name).first()[0]
    assert "/players/" not in filled.as_role("organiser").get("/search", query_string={"q": name}).text


def test_a_mistyped_tag_leads_to_the_search_with_what_was_typed(filled: House) -> None:
    answer = filled.as_role("desk").get("/tag?code=ZZZZ", follow_redirects=True)
    assert 'value="ZZZZ"' in answer.text and "There is no tag ZZZZ" in answer.text


@pytest.mark.parametrize("link", ["http://127.0.0.1:5000/p/token-3/{}", "0.1:36931/p/token-3/{}", "{}"])
def test_a_link_or_a_whole_tag_in_the_search_opens_it(filled: House, link: str) -> None:
    with filled.database.reading() as session:
        code = session.query(Job.code).first()[0]
    answer = filled.as_role("desk").get("/search", query_string={"q": link.format(code)}, follow_redirects=True)
    assert answer.request.path == f"/tag/{code}"
