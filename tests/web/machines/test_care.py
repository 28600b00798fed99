"""The care of machines on its screens: due ones done by one touch, taken back, with cautions; the list of checks."""

from collections.abc import Callable

import pytest
from sqlalchemy import select

from desk.models import MachineCare, MachineCheck
from tests.web.conftest import House
from tests.web.scenes import scene


def _fill(session, event) -> scene.Scene:
    filled = scene.fill(session, event)
    scene.fill_checks(session, filled)
    return filled


@pytest.fixture
def day(furnished: Callable) -> scene.Scene:
    return furnished(_fill)[1]


def clean(house: House) -> int:
    return house.scalars(select(MachineCheck.id).where(MachineCheck.name == "Clean clamps")).one()


def test_now_says_in_one_line_which_machines_are_due(house: House, day: scene.Scene) -> None:
    page = house.as_role("desk").get("/now").text
    assert "Machines due for a check" in page and page.count("Due by racquets or hours:") == 1


def test_a_due_check_is_done_by_one_touch_and_taken_back_by_another(house: House, day: scene.Scene) -> None:
    client, machine = house.as_role("desk"), day.machines[1]
    before = client.get("/machines/care").text.count(">due<")
    where = f"/machines/{machine.id}/care/{clean(house)}"
    assert client.post(where).headers["Location"].endswith("/machines/care")
    assert client.get("/machines/care").text.count(">due<") == before - 1
    with house.database.reading() as session:
        newest = session.scalars(select(MachineCare).order_by(MachineCare.id.desc())).first()
        assert (newest.machine_id, newest.by) == (machine.id, "desk")
    client.post(f"/machines/care/{newest.id}/back")
    page = client.get("/machines/care").text
    assert page.count(">due<") == before and "taken back by desk" in page


def test_a_note_stands_in_the_history_of_the_machine(house: House, day: scene.Scene) -> None:
    client, machine = house.as_role("desk"), day.machines[1]
    answer = client.post(f"/machines/{machine.id}/care/{clean(house)}?to=one", data={"note": "left jaw notched"})
    assert answer.headers["Location"].endswith(f"/machines/{machine.id}#care")
    assert "left jaw notched" in client.get(f"/machines/{machine.id}").text


@pytest.mark.parametrize("address", ["/machines/care", "/machines/{machine}"])
def test_the_cautions_stand_where_a_machine_is_touched(house: House, day: scene.Scene, address: str) -> None:
    page = house.as_role("desk").get(address.format(machine=day.machines[0].id)).text
    for caution in ("nothing under tension", "pull its plug", "maker’s manual", "somebody trained"):
        assert caution in page


def test_the_list_is_the_lead_s_to_change(house: House, day: scene.Scene) -> None:
    assert house.as_role("desk").get("/machines/checks").status_code == 403
    lead, check = house.as_role("lead"), clean(house)
    refused = lead.post(f"/machines/checks/{check}", data={"name": "Clean clamps"})
    assert (refused.status_code, "give racquets, or hours, or both" in refused.text) == (422, True)
    assert lead.post(f"/machines/checks/{check}", data={"name": "Clean clamps", "every_hours": "8"}).status_code == 303
    one = {"name": "Clean clamps", "every_racquets": "30", "machine_id": str(day.machines[2].id)}
    assert lead.post("/machines/checks", data=one).status_code == 303
    page = lead.get("/machines/checks").text
    assert "every 8 h" in page and f"{day.machines[2].name} only: every 30 racquets" in page
    assert lead.post(f"/machines/checks/{check}/drop").status_code == 303
    assert "every 8 h" not in lead.get("/machines/checks").text
