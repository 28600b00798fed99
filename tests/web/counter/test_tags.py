"""A tag, scanned or typed, opens its job; the log tells what happened."""

from sqlalchemy import select

from desk.models import Job
from desk.web.counter.tags import read_tag
from tests.web.conftest import House
from tests.web.scenes import scene


def test_a_code_is_read_from_what_scanners_and_people_type(day: scene.Scene) -> None:
    code = day.jobs[0].code
    typed = (code, code.lower(), f" {code[:2]}-{code[2:]} ", f"https://desk.example/tag/{code}")
    assert {read_tag(text) for text in typed} == {code}


def test_a_scanned_tag_opens_its_job(house: House, day: scene.Scene) -> None:
    code = day.in_state("waiting")[0].code
    answer = house.as_role("stringer").get(f"/tag?code={code}")
    assert answer.headers["Location"].endswith(f"/tag/{code}")


def test_a_players_own_code_leads_to_pickup(house: House, day: scene.Scene) -> None:
    player = day.players[1]
    answer = house.as_role("desk").get("/tag", query_string={"code": f"http://desk/p/{player.token}"})
    assert answer.headers["Location"].endswith(f"/pickup/{player.id}")


def test_a_mistyped_tag_says_that_a_character_is_wrong(house: House, day: scene.Scene) -> None:
    code = day.jobs[0].code
    wrong = ("N" if code[0] != "N" else "P") + code[1:]
    answer = house.as_role("desk").get(f"/tag/{wrong}")
    assert answer.status_code == 422
    assert "A character is wrong" in answer.text


def test_the_job_shows_promise_card_and_history(house: House, day: scene.Scene) -> None:
    job = day.in_state("held")[0]
    page = house.as_role("desk").get(f"/tag/{job.code}").text
    assert "13:45" in page and "grommet split" in page and "No consent noted" in page


def test_a_waiting_job_is_held_with_its_reason_only(house: House, day: scene.Scene) -> None:
    client, job = house.as_role("desk"), day.in_state("waiting")[0]
    assert client.post(f"/tag/{job.code}/act", data={"action": "hold", "reason": ""}).status_code == 422
    assert client.post(f"/tag/{job.code}/act", data={"action": "hold", "reason": "no string"}).status_code == 303
    with house.database.reading() as session:
        found = session.get_one(Job, job.id)
        assert (found.state, found.held_reason) == ("held", "no string")


def test_what_a_state_does_not_allow_is_not_offered(house: House, day: scene.Scene) -> None:
    job = day.in_state("strung")[0]
    assert house.as_role("desk").post(f"/tag/{job.code}/act", data={"action": "hold", "reason": "x"}).status_code == 422


def test_the_log_is_searched_by_words_and_leads_to_the_job(house: House, day: scene.Scene) -> None:
    job = day.in_state("held")[0]
    page = house.as_role("lead").get("/log?q=split").text
    assert page.count('<li>\n    <time class="line-time"') == 1
    assert f"/tag/{job.code}" in page


def test_a_log_without_a_line_says_so(house: House) -> None:
    assert "Nothing was done yet" in house.as_role("lead").get("/log").text


def test_a_racquet_strung_again_shows_its_own_promise_at_once(house: House) -> None:
    client, code = house.as_role("desk"), house.write(scene.fill_calibrated).in_state("strung")[0].code
    client.post(f"/tag/{code}/act", data={"action": "redo", "reason": "a cross was missed"})
    again = house.scalars(select(Job).where(Job.redo_of_id.is_not(None))).one().code
    page = client.get(f"/tag/{again}").text
    assert "No time given" not in page and "Promised" in page
