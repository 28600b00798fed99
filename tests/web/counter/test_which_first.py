"""Which racquet matters most: asked at drop-off by one touch, shown and changed wherever the racquets stand."""

import re

import pytest
from sqlalchemy import select

from desk.models import Job, Player
from tests.web.counter.known_player import Counter

OFFERED = re.compile(r'name="first_id" value="(\d*)"( checked)?> <span>([^<]+)<')
NEXT = re.compile(r'name="first" value="(\d+)"')


def offered(counter: Counter, data: dict) -> list[tuple[str, bool, str]]:
    said = counter.post(f"{counter.address}/ready", data).text
    return [(value, bool(checked), word) for value, checked, word in OFFERED.findall(said)]


def waiting(counter: Counter) -> list[Job]:
    with counter.house.database.reading() as session:
        return list(session.scalars(select(Job).where(Job.state == "waiting").order_by(Job.serial)))


def test_with_time_to_spare_the_counter_asks_nothing(counter: Counter) -> None:
    counter.play_at("20:00")
    assert offered(counter, counter.taking(0, 1, 2)) == []


def test_in_a_hurry_it_asks_once_and_keeps_the_order_of_the_form_by_itself(counter: Counter) -> None:
    counter.play_at("13:00")
    one, two, three = (str(racquet) for racquet in counter.racquets[:3])
    data = counter.taking(0, 1, 2)
    assert offered(counter, data) == [("", True, "1"), (two, False, "2"), (three, False, "3")]
    assert offered(counter, data | {"first_id": three})[2] == (three, True, "3")
    counter.accept(data | {"first_id": ""})
    assert [(job.matters, job.weight) for job in waiting(counter)] == [("", 10), ("", 5), ("", 3)]
    assert one not in {value for value, *_ in offered(counter, data)}


def test_the_answer_is_kept_and_stands_on_every_screen_of_the_racquet(counter: Counter) -> None:
    counter.play_at("13:00")
    done = counter.accept(counter.taking(0, 1, 2) | {"first_id": counter.racquets[2]}).location
    jobs = waiting(counter)
    assert [(job.matters, job.weight) for job in jobs] == [("", 5), ("", 3), ("first", 10)]
    player = f"/players/{counter.player_id}"
    for address in (done, player, f"/pickup/{counter.player_id}", f"/tag/{jobs[2].code}"):
        assert "matters most" in counter.get(address).text.lower(), address
    with counter.house.database.reading() as session:
        own = f"/p/{session.get_one(Player, counter.player_id).token}"
    assert "The one you want first" in counter.get(f"{own}?lang=en").text
    assert "Diesen möchten Sie zuerst" in counter.get(f"{own}?lang=de").text
    log = counter.house.as_role("lead").get("/log").text
    assert f"{jobs[2].code} matters most" in log


@pytest.mark.parametrize("screen", ["player", "tag"])
def test_it_is_changed_later_where_the_racquet_stands(counter: Counter, screen: str) -> None:
    counter.play_at("13:00")
    counter.accept(counter.taking(0, 1, 2) | {"first_id": counter.racquets[2]})
    one = waiting(counter)[0]
    address = {"player": f"/players/{counter.player_id}", "tag": f"/tag/{one.code}"}[screen]
    assert str(one.id) in NEXT.findall(counter.get(address).text)
    answer = counter.post("/plan/said", {"first": one.id, "next": address})
    assert answer.location == address
    assert [(job.matters, job.weight) for job in waiting(counter)] == [("first", 10), ("", 5), ("", 3)]


def test_a_visit_taken_back_leaves_the_others_as_they_were(counter: Counter) -> None:
    counter.play_at("13:00")
    counter.accept(counter.taking(0))
    data = counter.taking(1, 2)
    assert [word for *_, word in offered(counter, data)] == ["1, here already", "2", "3"]
    asked = data | {"first_id": counter.racquets[2], "request_key": "two", "do": "accept"}
    done = counter.post(counter.address, counter.shown(asked)).location
    assert [job.matters for job in waiting(counter)] == ["", "", "first"]
    assert "1, here already" not in counter.post(f"{counter.address}/ready", data).text
    counter.post(f"{done}/undo")
    assert [job.matters for job in waiting(counter)] == [""]


def test_a_single_racquet_offers_nothing_on_its_tag(counter: Counter) -> None:
    counter.play_at("13:00")
    counter.accept(counter.taking(0))
    (job,) = waiting(counter)
    assert "It matters most" not in counter.get(f"/tag/{job.code}").text
