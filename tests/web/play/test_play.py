"""The order of play on its screen: one touch each, rain, and the way back."""

from collections.abc import Callable

import pytest
from sqlalchemy import select

from desk.models import Court, Match, Player, PlayStop
from tests import make
from tests.web.conftest import House
from tests.web.scenes.scene_play import whole_scene


@pytest.fixture
def matches(furnished: Callable) -> list[Match]:
    return furnished(whole_scene)[1]


def touch(house: House, match: Match, do: str, **data: object):
    return house.as_role("desk").post(f"/play/match/{match.id}/touch/{do}", data=data)


def state(house: House, match: Match) -> str:
    return house.get(Match, match.id).state


def test_an_event_without_courts_says_what_to_do_first(house: House) -> None:
    assert "No court yet" in house.as_role("desk").get("/play").text


def test_a_court_is_added(house: House) -> None:
    assert house.as_role("desk").post("/play/courts", data={"name": "Court 7"}).status_code == 303
    assert house.scalars(select(Court.name)).all() == ["Court 7"]


def test_a_court_of_the_same_name_is_refused(house: House, matches: list[Match]) -> None:
    answer = house.as_role("desk").post("/play/courts", data={"name": "East Court"})
    assert answer.status_code >= 400
    assert "There is a court named East Court already" in answer.text


def test_a_match_is_started_and_taken_back_by_one_touch_each(house: House, matches: list[Match]) -> None:
    assert touch(house, matches[3], "start").status_code == 303
    assert state(house, matches[3]) == "on_court"
    touch(house, matches[3], "undo")
    assert state(house, matches[3]) == "scheduled"


def test_a_match_on_a_taken_court_is_not_started_and_says_why(house: House, matches: list[Match]) -> None:
    answer = touch(house, matches[2], "start")
    assert answer.status_code == 409
    assert "still on Centre Court" in answer.text


def test_a_finished_match_asks_who_won_and_the_winner_takes_the_place_that_waited(
    house: House, matches: list[Match]
) -> None:
    assert "Who won?" in house.as_role("desk").get("/play").text
    touch(house, matches[0], "winner", side=1)
    with house.database.reading() as session:
        winner = session.get_one(Match, matches[0].id).sides[0].player_id
        assert session.get_one(Match, matches[4].id).sides[0].player_id == winner


@pytest.mark.parametrize(("do", "after"), [("retire", "retired"), ("suspend", "suspended"), ("finish", "finished")])
def test_a_match_in_play_takes_one_touch(house: House, matches: list[Match], do: str, after: str) -> None:
    touch(house, matches[1], do)
    assert state(house, matches[1]) == after


def test_a_match_is_moved_to_another_court(house: House, matches: list[Match]) -> None:
    third = house.scalars(select(Court.id).where(Court.name == "West Court")).one()
    touch(house, matches[2], "move", court_id=third)
    assert house.get(Match, matches[2].id).court_id == third
    assert f"/play/match/{matches[2].id}/touch/undo" in house.as_role("desk").get("/play").text
    touch(house, matches[2], "undo")
    assert house.get(Match, matches[2].id).court_id == matches[2].court_id


def test_rain_stops_all_courts_and_play_goes_on_by_one_touch(house: House, matches: list[Match]) -> None:
    house.as_role("desk").post("/play/stop", data={"reason": "rain"})
    assert state(house, matches[1]) == "suspended"
    page = house.as_role("desk").get("/play").text
    assert "Play is stopped on all courts" in page and "when play goes on" in page
    assert "likely" not in page and "needed by" not in page
    house.as_role("desk").post("/play/resume", data={"now": "1"})
    assert state(house, matches[1]) == "on_court"


def test_play_resumes_at_a_named_time_and_not_in_the_past(house: House, matches: list[Match]) -> None:
    client = house.as_role("desk")
    client.post("/play/stop", data={"reason": "rain"})
    assert client.post("/play/resume", data={"at": "09:00"}).status_code == 422
    assert client.post("/play/resume", data={"at": "soon"}).status_code == 422
    assert client.post("/play/resume", data={"at": "15:30"}).status_code == 303
    assert house.scalars(select(PlayStop)).one().resumes_at is not None
    assert "it resumes: <strong>15:30</strong>" in client.get("/play").text


def entry(court_id: int, day_id: int, **over: object) -> dict[str, object]:
    plain = {"day_id": day_id, "court_id": court_id, "format": "best_of_3_men", "start_kind": "not_before"}
    return plain | {"start_time": "16:00", "one-player": "Lene Voss", "two-player": "ari sandgate"} | over


def test_a_match_is_added_by_the_names_of_its_players(house: House, matches: list[Match]) -> None:
    data = entry(matches[3].court_id, matches[3].day_id, code="Q1")
    assert house.as_role("desk").post("/play/match/new", data=data).status_code == 303
    with house.database.reading() as session:
        added = session.scalars(select(Match).where(Match.code == "Q1")).one()
        assert (added.position, _names(session, added)) == (3, ["Lene Voss", "Ari Sandgate"])


def _names(session, match: Match) -> list[str]:
    return [session.get_one(Player, side.player_id).name for side in match.sides]


def test_an_unknown_player_is_told_at_the_field_and_nothing_is_added(house: House, matches: list[Match]) -> None:
    data = entry(matches[3].court_id, matches[3].day_id, **{"two-player": "Nobody Known"})
    answer = house.as_role("desk").post("/play/match/new", data=data)
    assert answer.status_code == 422
    assert 'id="two-player-fault"' in answer.text and 'value="Lene Voss"' in answer.text


def test_a_name_of_two_players_is_told_with_how_each_is_written(house: House, matches: list[Match]) -> None:
    def a_namesake(session, event) -> None:
        known = session.scalars(select(Player).where(Player.name == "Lene Voss")).one()
        make.make_player(session, event, name=known.name, search_name=known.search_name, code="P77")

    house.write(a_namesake)
    answer = house.as_role("desk").post("/play/match/new", data=entry(matches[3].court_id, matches[3].day_id))
    assert "2 players have this name: write Lene Voss" in answer.text and "Lene Voss (P77)" in answer.text


def test_the_form_asks_for_the_format_first_and_then_proposes_the_last_one(house: House) -> None:
    house.write(lambda session, event: make.make_court(session, event) and None)
    client = house.as_role("desk")
    assert '<option selected value="">choose …' in client.get("/play/match/new").text

    def doubles(session, event) -> None:
        court = make.make_court(session, event)
        make.make_match(session, court, day=event.days[0], players=[None, None], format="doubles")

    house.write(doubles)
    assert '<option selected value="doubles">' in client.get("/play/match/new").text


def test_a_match_without_its_time_is_told_at_the_field(house: House, matches: list[Match]) -> None:
    data = entry(matches[3].court_id, matches[3].day_id, start_time="")
    answer = house.as_role("desk").post("/play/match/new", data=data)
    assert answer.status_code == 422 and 'id="start_time-fault"' in answer.text


def test_a_match_is_changed_and_removed(house: House, matches: list[Match]) -> None:
    client, where = house.as_role("desk"), f"/play/match/{matches[4].id}"
    assert client.get(where).status_code == 200
    data = entry(matches[4].court_id, matches[4].day_id, code=matches[4].code, position=1)
    assert client.post(where, data=data).status_code == 303
    assert client.post(f"{where}/remove").status_code == 303
    with house.database.reading() as session:
        assert session.get(Match, matches[4].id) is None


def test_the_word_for_all_courts_is_taken_back_by_one_touch(house: House, matches: list[Match]) -> None:
    client = house.as_role("desk")
    assert "Take back “" not in client.get("/play").text
    client.post("/play/stop", data={"reason": "rain"})
    assert "Take back “all courts stop”" in client.get("/play").text
    assert client.post("/play/take-back").status_code == 303
    assert state(house, matches[1]) == "on_court"
    assert client.post("/play/take-back").status_code == 409
