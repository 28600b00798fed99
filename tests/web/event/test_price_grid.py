"""The price list in one grid: typed, emptied, left, and its own taxes kept."""

import re

from sqlalchemy import select

from desk.models import Event, Price, StringType
from tests import make
from tests.web.conftest import House


def _prices(house: House) -> dict[tuple, tuple]:
    rows = house.scalars(select(Price)).all()
    return {(one.kind, one.per, one.string_type_id): (one.amount_minor, one.tax_basis_points) for one in rows}


def _string(house: House) -> int:
    house.write(lambda session, event: make.make_string(session, event, code="S1"))
    return house.scalars(select(StringType.id)).one()


def _typed(house: House) -> dict[str, str]:
    page = house.as_role("lead").get("/settings/prices").text
    fields = re.findall(r"<input[^>]*name=\"price_[^>]*>", page)
    return {re.search(r'name="([^"]*)"', one)[1]: re.search(r'value="([^"]*)"', one)[1] for one in fields}


def test_what_is_typed_is_set_and_what_is_emptied_is_taken_off(house: House) -> None:
    string = _string(house)
    grid = _typed(house) | {"price_labour_job_0": "18", f"price_string_set_{string}": "9,50"}
    assert house.as_role("lead").post("/settings/prices/all", data=grid).status_code == 303
    assert _prices(house) == {("labour", "job", None): (1800, None), ("string", "set", string): (950, None)}
    assert _typed(house)[f"price_string_set_{string}"] == "9.50"
    house.as_role("lead").post("/settings/prices/all", data=_typed(house) | {"price_labour_job_0": ""})
    assert list(_prices(house)) == [("string", "set", string)]


def test_a_price_keeps_its_own_tax(house: House) -> None:
    house.write(lambda session, event: make.make_price(session, event, "on_court", 1000, tax_basis_points=700))
    assert "A price with a tax of its own" in house.as_role("lead").get("/settings/prices").text
    house.as_role("lead").post("/settings/prices/all", data=_typed(house) | {"price_on_court_job_0": "12"})
    assert _prices(house) == {("on_court", "job", None): (1200, 700)}


def test_one_that_cannot_be_is_refused_beside_its_field_and_nothing_is_kept(house: House) -> None:
    data = _typed(house) | {"price_labour_job_0": "18", "price_stencil_job_0": "two"}
    answer = house.as_role("lead").post("/settings/prices/all", data=data)
    assert answer.status_code == 422 and 'value="two"' in answer.text and 'class="fault"' in answer.text
    assert _prices(house) == {}
    assert house.scalars(select(Event)).one().revision >= 0
