"""The morning's calibration: one grid, and everybody told what waits for it."""

import pytest

from desk.models import Calibration, Machine
from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene


@pytest.fixture
def unread(house: House, day: scene.Scene) -> list[int]:
    """Three machines that nobody has read today, and racquets that wait."""

    def forget(session, event) -> list[int]:
        event.calibration_required = True
        session.query(Calibration).delete()
        while session.query(Machine).count() < 3:
            make.make_machine(session, event)
        return [machine.id for machine in session.query(Machine).order_by(Machine.position, Machine.code)]

    return house.write(forget)


def typed(ids: list[int], *pairs: tuple[str, str]) -> dict[str, str]:
    cells = {f"m{ids[n]}_{turn + 1}": pair[turn] for n, pair in enumerate(pairs) for turn in (0, 1)}
    return {"unit": "kg", "reference_1": "20", "reference_2": "25"} | cells


def test_one_form_reads_all_machines(house: House, unread: list[int]) -> None:
    client = house.as_role("desk")
    answer = client.post("/calibration", data=typed(unread, ("20,1", "25"), ("20", "24.9"), ("20", "26")))
    assert answer.status_code == 303
    page = client.get("/machines").text
    assert "too far off" in page
    assert f"2 of {len(unread[:3])} are within the tolerance" in page
    with house.database.reading() as session:
        rows = session.query(Calibration).all()
        assert len(rows) == 6
        assert [row.machine_id for row in rows if not row.passed] == [unread[2]]


def test_a_machine_left_empty_is_left_as_it_is(house: House, unread: list[int]) -> None:
    house.as_role("desk").post("/calibration", data=typed(unread, ("20", "25"), ("", "")))
    with house.database.reading() as session:
        assert {row.machine_id for row in session.query(Calibration)} == {unread[0]}


@pytest.mark.parametrize(
    ("pair", "fault"),
    [
        (("20", ""), "read both tensions, or neither"),
        (("240", "25"), "1 to 100"),
        (("abc", "25"), "Not a valid decimal"),
        (("1,250", "25"), "Not a valid decimal"),
    ],
)
def test_half_a_reading_is_refused_beside_its_field_and_nothing_is_stored(
    house: House, unread: list[int], pair: tuple[str, str], fault: str
) -> None:
    answer = house.as_role("desk").post("/calibration", data=typed(unread, ("20", "25"), pair))
    assert answer.status_code == 422
    assert fault in answer.text and 'value="25"' in answer.text
    with house.database.reading() as session:
        assert session.query(Calibration).count() == 0


def test_an_empty_grid_is_refused(house: House, unread: list[int]) -> None:
    answer = house.as_role("desk").post("/calibration", data=typed(unread, ("", "")))
    assert (answer.status_code, "No reading was typed" in answer.text) == (422, True)


@pytest.mark.parametrize("address", ["/plan", "/plan/wrong", "/now", "/machines"])
def test_every_screen_names_the_machines_that_wait_as_one(house: House, unread: list[int], address: str) -> None:
    text = house.as_role("lead").get(address).text
    assert f"{len(unread)} machines" in text or f"{len(unread)} wait" in text
    house.as_role("desk").post("/calibration", data=typed(unread, *[("20", "25")] * len(unread)))
    assert "before it is read" not in house.as_role("lead").get(address).text


def test_a_machine_that_reads_too_far_off_waits_for_a_repair_not_for_a_reading(house: House, unread: list[int]) -> None:
    house.as_role("desk").post("/calibration", data=typed(unread, *[("20", "25")] * (len(unread) - 1), ("20", "29")))
    page = house.as_role("lead").get("/now").text
    assert "before it is read" not in page
    assert "Set to 25 kg it pulled 29 kg" in page
