"""A new event: what each empty screen says to do first, and the steps to a running desk."""

import re

import pytest

from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene

SAYS_FIRST = {
    "/now": "To a running desk",
    "/drop-off": "Type the name of the first one",
    "/on-court": "Type a few letters of the name instead",
    "/plan": "Add the stringers with their hours first",
    "/benches": "Add the stringers first",
    "/pickup": "appears here when its bench has finished it",
    "/runner": "A racquet sent from a match appears here",
    "/play": "Name the first one below",
    "/store": "First name the string below",
    "/store/order": "Take some in",
    "/machines": "Add the first one below",
    "/team": "Add the first stringer below",
    "/players": "Add the first one below",
    "/players/frames": "Add the first one below",
    "/players/charges": "Prices stand in the settings",
    "/settings/prices": "Begin with stringing",
    "/log": "Everything that anybody does stands here",
}


@pytest.mark.parametrize("address", SAYS_FIRST)
def test_an_empty_screen_says_what_to_do_first(house: House, address: str) -> None:
    assert SAYS_FIRST[address] in house.as_role("lead").get(address).text


def next_step(house: House) -> str:
    return re.search(r">Next<span class=\"unseen\">: ([^<]+)<", house.as_role("desk").get("/now").text).group(1)


def test_the_next_step_follows_what_is_there(house: House) -> None:
    found = [next_step(house)]
    for add in (make.make_machine, make.make_stringer, make.make_string):
        house.write(lambda session, event, add=add: add(session, event) and None)
        found.append(next_step(house))
    assert found == ["Machines", "Team", "String", "Calibration"]


def test_what_keeps_a_racquet_from_being_strung_comes_before_what_may_wait(house: House) -> None:
    def all_that_it_takes(session, event) -> None:
        event.calibration_required = False
        machine = make.make_machine(session, event)
        make.make_stringer(session, event, home_machine_id=machine.id)
        make.make_string(session, event)

    house.write(all_that_it_takes)
    assert next_step(house) == "First drop-off"
    text = house.as_role("lead").get("/now").text
    assert all(said in text for said in ("done: 1 machine<", "done: 1 stringer with hours<", "done: 1 string<"))


def test_a_running_desk_shows_no_first_steps(house: House, day: scene.Scene) -> None:
    assert "To a running desk" not in house.as_role("lead").get("/now").text
