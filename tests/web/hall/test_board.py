"""The hall board: in order, with names as the event chooses, and open to everybody."""

import re

import pytest

from desk.models import Event
from tests.web.conftest import House
from tests.web.scenes import scene


def board(house: House, day: scene.Scene) -> str:
    answer = house.client().get(f"/board/{day.event.slug}")
    assert answer.status_code == 200
    return answer.text


def times(part: str) -> list[str]:
    return re.findall(r'class="hall-time"[^>]*>(\d\d:\d\d)<', part)


def test_ready_has_the_newest_first_and_next_the_soonest(house: House, day: scene.Scene) -> None:
    ready, coming = board(house, day).split('id="next"')
    assert times(ready) == sorted(times(ready), reverse=True) != []
    assert times(coming)[:-1] == sorted(times(coming)[:-1])
    assert times(coming)[0] == "12:39"


def test_a_late_racquet_says_so_beside_its_time_until_it_is_ready(house: House, day: scene.Scene) -> None:
    # Racquets that are ready were promised earlier too; only the one still on a machine is late.
    late = re.findall(r'hall-late">.*?>(\d\d:\d\d)<.*?\blate(?: |,|<)', board(house, day), flags=re.DOTALL)
    assert late == ["12:39"]


@pytest.mark.parametrize(
    ("style", "shown", "hidden"),
    [("full", "Bo Arnqvist", ()), ("initials", "B. A.", ("Arnqvist",)), ("tag", "", ("Arnqvist", "B. A."))],
)
def test_names_are_as_the_event_chooses(house: House, day: scene.Scene, style: str, shown: str, hidden: tuple) -> None:
    house.write(lambda _session, event: setattr(event, "board_names", style))
    page = board(house, day)
    assert (shown or day.in_state("strung")[0].code) in page
    assert [name for name in hidden if name in page] == []


def test_what_is_held_or_handed_over_is_not_on_it(house: House, day: scene.Scene) -> None:
    house.write(lambda _session, event: setattr(event, "board_names", "tag"))
    gone = [job.code for job in day.jobs if job.state in ("held", "handed_over", "cancelled")]
    page = board(house, day)
    assert [code for code in gone if code in page] == []


def test_racquets_of_one_player_and_time_are_one_line(house: House, day: scene.Scene) -> None:
    first, second = day.in_state("waiting")[3:5]
    house.write(lambda session, _event: _same_time(session, first, second))
    assert "2 racquets" in board(house, day)


def _same_time(session, first, second) -> None:
    session.merge(second).promises[0].ready_at = session.merge(first).promises[0].ready_at


def test_its_lines_are_a_304_while_nothing_changed(house: House, day: scene.Scene) -> None:
    address, client = f"/board/{day.event.slug}/lines", house.client()
    tag = client.get(address).headers["ETag"]
    assert client.get(address, headers={"If-None-Match": tag}).status_code == 304
    house.write(lambda _session, event: setattr(event, "revision", Event.revision + 1))
    assert client.get(address, headers={"If-None-Match": tag}).status_code == 200


def test_an_unknown_event_says_where_the_address_is(house: House) -> None:
    answer = house.client().get("/board/nowhere")
    assert (answer.status_code, "There is no event" in answer.text) == (404, True)
