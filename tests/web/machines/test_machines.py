"""Machines on their screen: calibration that never guesses a unit, out of service, and back."""

import pytest
from sqlalchemy import select

from desk.models import Calibration, Machine
from desk.queries.machines.machines import machine_rows, usable_windows
from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene

GOOD = {"unit": "kg", "reference_1": "20", "reading_1": "20.1", "reference_2": "25", "reading_2": "24.9"}


def usable(house: House, machine_id: int) -> bool:
    def look(session, event) -> bool:
        rows = machine_rows(session, event, make.moment(scene.NOW))
        return next(row.usable for row in rows if row.machine_id == machine_id)

    return house.write(look)


def test_an_event_without_machines_says_what_to_do_first(house: House) -> None:
    assert "No machine yet. Add the first one" in house.as_role("lead").get("/machines").text


def test_a_machine_is_added_and_changed(house: House) -> None:
    client, data = house.as_role("lead"), {"name": "Bench 9", "kind": "lockout", "reach_cm": "30"}
    assert client.post("/machines", data=data).status_code == 303
    assert client.post("/machines/1", data=data | {"name": "Bench 10"}).status_code == 303
    with house.database.reading() as session:
        machine = session.scalars(select(Machine)).one()
        assert (machine.name, machine.kind, machine.reach_cm) == ("Bench 10", "lockout", 30)


def test_the_unit_of_a_calibration_is_never_preselected(house: House, day: scene.Scene) -> None:
    page = house.as_role("desk").get(f"/machines/{day.machines[0].id}").text
    assert 'name="unit"' in page and " checked" not in page


def test_a_machine_is_read_at_the_tensions_of_last_time(house: House, day: scene.Scene) -> None:
    client, where = house.as_role("desk"), f"/machines/{day.machines[0].id}"
    client.post(f"{where}/calibrate", data=GOOD | {"reference_2": "24,5", "reading_2": "24,4"})
    page = client.get(where).text
    assert 'name="reference_2" required type="text" value="24.5"' in page
    assert "0.5 lb (0.23 kg)" in page


def test_a_calibration_without_its_unit_is_refused_with_what_was_typed(house: House, day: scene.Scene) -> None:
    where = f"/machines/{day.machines[0].id}/calibrate"
    answer = house.as_role("desk").post(where, data=GOOD | {"unit": ""})
    assert answer.status_code == 422
    assert "choose pounds or kilos" in answer.text and 'value="24.9"' in answer.text


def test_a_calibration_keeps_the_unit_as_spoken(house: House, day: scene.Scene) -> None:
    house.as_role("desk").post(f"/machines/{day.machines[0].id}/calibrate", data=GOOD)
    with house.database.reading() as session:
        assert [(str(row.reading), row.unit) for row in session.scalars(select(Calibration))] == [
            ("20.1", "kg"), ("24.9", "kg"),
        ]  # fmt: skip


def test_a_calibration_at_one_tension_twice_is_told_at_the_field(house: House, day: scene.Scene) -> None:
    where = f"/machines/{day.machines[0].id}/calibrate"
    answer = house.as_role("desk").post(where, data=GOOD | {"reference_2": "20"})
    assert answer.status_code == 422 and 'id="reference_2-fault"' in answer.text


def test_a_calibration_that_fails_leaves_the_machine_no_time_in_the_plan(house: House, day: scene.Scene) -> None:
    machine_id = day.machines[0].id
    answer = house.as_role("desk").post(
        f"/machines/{machine_id}/calibrate", data=GOOD | {"reading_2": "21"}, follow_redirects=True
    )
    assert "Outside the tolerance" in answer.text
    now = make.moment(scene.NOW)
    left = house.write(lambda session, event: usable_windows(session, event, now)[machine_id])
    assert [end for _, end in left if end > now and end < make.moment("Tue 00:00")] == []
    assert not usable(house, machine_id)


def test_a_machine_goes_out_of_service_by_one_touch_and_back_by_another(house: House, day: scene.Scene) -> None:
    machine_id, client = day.machines[0].id, house.as_role("desk")
    client.post(f"/machines/{machine_id}/calibrate", data=GOOD)
    assert client.post(f"/machines/{machine_id}/out").status_code == 303
    assert not usable(house, machine_id)
    client.post(f"/machines/{machine_id}/back")
    assert not usable(house, machine_id), "read it anew after a repair or a move"
    client.post(f"/machines/{machine_id}/calibrate", data=GOOD)
    assert usable(house, machine_id)


def test_a_time_back_that_is_no_time_is_refused(house: House, day: scene.Scene) -> None:
    answer = house.as_role("desk").post(f"/machines/{day.machines[0].id}/out", data={"back": "later"})
    assert answer.status_code == 422 and "is no time" in answer.text


def service(house: House, machine_id: int) -> list[tuple[str, str]]:
    """Hours in service as UTC; Vienna is two hours ahead in May."""
    with house.database.reading() as session:
        found = session.get_one(Machine, machine_id).services
        return [(f"{one.from_at:%d %H:%M}", f"{one.to_at:%d %H:%M}") for one in found]


def test_the_hours_in_service_of_one_day_are_set_and_the_other_days_stay_whole(house: House, day: scene.Scene) -> None:
    machine_id, client = day.machines[0].id, house.as_role("lead")
    tuesday, where = day.event.days[1].id, f"/machines/{day.machines[0].id}/hours"
    data = {"day_id": tuesday, "hours": "10:00-12:00, 13:00-18:00"}
    answer = client.post(where, data=data, follow_redirects=True)
    assert "10:00–12:00, 13:00–18:00" in answer.text and "all day" in answer.text
    assert service(house, machine_id) == [
        ("11 22:00", "12 22:00"), ("13 08:00", "13 10:00"), ("13 11:00", "13 16:00"), ("13 22:00", "14 22:00"),
    ]  # fmt: skip
    assert f"{day.machines[0].name} on Tue 13 May: in service 10:00–12:00, 13:00–18:00" in client.get("/log").text
    client.post(where, data={"day_id": tuesday, "hours": "none"})
    assert service(house, machine_id) == [("11 22:00", "12 22:00"), ("13 22:00", "14 22:00")]
    assert "not this day" in client.get(f"/machines/{machine_id}").text
    client.post(where, data={"day_id": tuesday, "hours": ""})
    assert service(house, machine_id) == []


@pytest.mark.parametrize(
    ("hours", "said"),
    [
        ("mornings", "are no hours"),
        ("12:00-10:00", "end after they begin"),
        ("09:00-13:00, 12:00-14:00", "must not overlap"),
    ],
)
def test_hours_in_service_that_cannot_be_are_told_at_the_field(
    house: House, day: scene.Scene, hours: str, said: str
) -> None:
    where = f"/machines/{day.machines[0].id}/hours"
    answer = house.as_role("lead").post(where, data={"day_id": day.event.days[0].id, "hours": hours})
    assert answer.status_code == 422 and said in answer.text
    assert 'id="hours-fault"' in answer.text and f'value="{hours}"' in answer.text
    assert service(house, day.machines[0].id) == []


def test_a_machine_without_hours_on_any_day_is_refused(house: House, day: scene.Scene) -> None:
    client, where = house.as_role("lead"), f"/machines/{day.machines[0].id}/hours"
    answers = [client.post(where, data={"day_id": one.id, "hours": "none"}) for one in day.event.days]
    assert [answer.status_code for answer in answers] == [*[303] * (len(answers) - 1), 422]
    assert "take it out of service instead" in answers[-1].text


def test_the_desk_sees_the_hours_in_service_and_only_the_lead_sets_them(house: House, day: scene.Scene) -> None:
    client, where = house.as_role("desk"), f"/machines/{day.machines[0].id}"
    page = client.get(where).text
    assert "Hours in service" in page and f'action="{where}/hours"' not in page
    assert client.post(f"{where}/hours", data={"day_id": day.event.days[0].id, "hours": "none"}).status_code == 403
    assert f'action="{where}/hours"' in house.as_role("lead").get(where).text
