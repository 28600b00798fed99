"""A sheet of drop-offs says which visits would be split between stringers, before they are taken in."""

import html
import io
import re

import pytest
from sqlalchemy import select

from desk.models import Job, Player
from tests.web.conftest import House
from tests.web.counter.sheet_page import desk_of, fields_of

HEADER = "day,time,player,racquet,frame,mains_string,mains_tension,needed_by\n"
KEEP = r'form="visits" name="with_one" value="(\d+ \d+)"( checked)?'


@pytest.fixture
def desk(house: House):
    """The desk's client, with two benches and two players."""
    return desk_of(house, {"P1": "Ya Lim", "P2": "Ilka Torvane"}, benches=2)


def send(desk, *bags: tuple[str, int, str]) -> str:
    rows = [
        f"2031-05-12,12:00,{player},{number},F1,S1,52 lb,{needed}\n"
        for player, count, needed in bags
        for number in range(1, count + 1)
    ]
    return desk.post("/drop-off-sheet", data={"file": (io.BytesIO((HEADER + "".join(rows)).encode()), "bags.csv")}).text


def read(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


def test_a_split_visit_is_said_with_the_times_of_both_ways_before_it_is_taken_in(house: House, desk) -> None:
    page = send(desk, ("P1", 1, "18:00"), ("P2", 3, "12:40"))
    assert "A visit is split between stringers" in page and len(re.findall(KEEP, page)) == 1
    both = (
        r"This splits the visit so (.+?) Racquet (.+?) Nobody .+? or all by (\d\d:\d\d) with .+? Racquet (.+?) Nobody"
    )
    parted, apart, last, together = re.search(both, read(page)).groups()
    assert "two by" in parted and "one by" in parted
    apart, together = (re.findall(r"(\d) (\d\d:\d\d)", times) for times in (apart, together))
    assert [number for number, _ in apart] == [number for number, _ in together] == ["1", "2", "3"]
    assert max(time for _, time in together) == last > max(time for _, time in apart)
    shown = re.findall(r"ready by (\d\d:\d\d) Ilka Torvane Racquet (\d)", read(page))
    assert [(number, time) for time, number in shown] == apart


def test_one_touch_keeps_the_visit_with_one_and_stays_until_it_is_taken_back(house: House, desk) -> None:
    page = send(desk, ("P1", 1, "18:00"), ("P2", 3, "12:40"))
    ((with_one, is_ticked),) = re.findall(KEEP, page)
    assert not is_ticked
    page = desk.post("/drop-off-sheet", data=fields_of(page) | {"with_one": with_one}).text
    assert "split between stringers" not in page and re.findall(KEEP, page) == [(with_one, " checked")]
    assert "split between stringers" in desk.post("/drop-off-sheet", data=fields_of(page)).text
    desk.post("/drop-off-sheet/take", data=fields_of(page) | {"with_one": with_one})
    pinned = select(Player.code, Job.pinned_stringer_id).join(Job, Job.player_id == Player.id)
    with house.database.reading() as session:
        found = {tuple(row) for row in session.execute(pinned)}
    assert found == {("P1", None), ("P2", int(with_one.split()[1]))}


def test_bags_with_time_to_spare_are_not_spoken_of(desk) -> None:
    page = send(desk, ("P1", 2, "18:00"), ("P2", 3, "19:00"))
    assert "Take in 5 racquets" in page and "split" not in read(page)
