"""The team on its screen: hours, sick now and back, home machine, PIN."""

import re

from sqlalchemy import func, select

from desk.models import Absence, Shift, Stringer
from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene


def test_an_event_without_a_team_says_what_to_do_first(house: House) -> None:
    assert "Add the first stringer below" in house.as_role("lead").get("/team").text


def test_a_stringer_is_added_with_hours_on_every_day(house: House) -> None:
    data = {"name": "Jo Marsh", "home_machine_id": "0", "hours": "09:00-13:00, 14:00-24:30"}
    assert house.as_role("lead").post("/team", data=data).status_code == 303
    with house.database.reading() as session:
        assert session.scalar(select(func.count()).select_from(Shift)) == 6


def test_hours_that_are_none_are_told_at_the_field_and_nobody_is_added(house: House) -> None:
    data = {"name": "Jo Marsh", "home_machine_id": "0", "hours": "mornings"}
    answer = house.as_role("lead").post("/team", data=data)
    assert answer.status_code == 422 and 'id="hours-fault"' in answer.text
    assert house.scalars(select(Stringer)).all() == []


def test_a_stringer_is_sick_by_one_touch_and_back_by_another(house: House, day: scene.Scene) -> None:
    client, who = house.as_role("desk"), day.stringers[0]
    assert client.post(f"/team/{who.id}/away").status_code == 303
    assert "Back at work" in client.get("/team").text
    client.post(f"/team/{who.id}/back")
    assert "Back at work" not in client.get("/team").text
    assert house.scalars(select(Absence.reason)).all() in (["sick"], [])


def test_what_was_strung_today_stands_beside_what_was_strung_at_the_event(house: House, day: scene.Scene) -> None:
    house.write(lambda session, _: setattr(session.merge(day.stringers[0]), "most_a_day", 23))
    text = house.as_role("lead").get("/team").text
    (today, event), *_ = re.findall(r"(\d+) racquets? strung today, (\d+) at the event · at most 23 a day", text)
    assert 0 < int(today) <= int(event)


def test_the_hours_of_one_day_are_changed_and_the_others_stay(house: House, day: scene.Scene) -> None:
    who, tuesday = day.stringers[0], day.event.days[1].id
    answer = house.as_role("lead").post(f"/team/{who.id}/hours", data={"day_id": tuesday, "hours": "10:00-12:00"})
    assert answer.status_code == 303
    spans = house.scalars(select(Shift.from_at).where(Shift.stringer_id == who.id).order_by(Shift.from_at)).all()
    assert spans == [make.moment("Mon 08:00"), make.moment("Tue 10:00"), make.moment("Wed 08:00")]


def test_home_machine_and_pace_are_changed(house: House, day: scene.Scene) -> None:
    who, data = day.stringers[0], {"name": "Jana H.", "home_machine_id": day.machines[2].id, "pace_override": "90"}
    assert house.as_role("lead").post(f"/team/{who.id}", data=data).status_code == 303
    with house.database.reading() as session:
        found = session.get_one(Stringer, who.id)
        assert (found.name, found.home_machine_id, found.pace_override) == ("Jana H.", day.machines[2].id, 90)


def test_a_pin_of_letters_is_told_at_the_field(house: House, day: scene.Scene) -> None:
    answer = house.as_role("lead").post(f"/team/{day.stringers[0].id}/pin", data={"pin": "abcd"})
    assert answer.status_code == 422 and 'id="pin-fault"' in answer.text
    assert house.as_role("lead").post(f"/team/{day.stringers[0].id}/pin", data={"pin": "4711"}).status_code == 303
