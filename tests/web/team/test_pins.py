"""Stringers sign in by PIN on devices that the lead has trusted."""

import pytest
from flask.testing import FlaskClient
from sqlalchemy import select

from desk.models import Event, Stringer, TrustedDevice
from desk.services.team import accounts
from tests import make
from tests.web.conftest import House


def trusted(house: House, pin: str = "4711") -> tuple[FlaskClient, int]:
    """Return a client on a device that the lead has trusted, and a stringer with a PIN."""

    def add(session, event: Event) -> int:
        stringer = make.make_stringer(session, event)
        accounts.set_pin(session, event.id, stringer.id, pin, acting=make.acting())
        return stringer.id

    stringer_id = house.write(add)
    client = house.as_role("lead")
    answer = client.post("/trust-device", data={"name": "tablet at bench 1"})
    assert answer.status_code == 303
    return client, stringer_id


def by_pin(client: FlaskClient, stringer_id: int, pin: str = "4711"):
    return client.post("/bench-sign-in", data={"stringer": stringer_id, "pin": pin})


def test_a_stringer_signs_in_by_pin_on_a_trusted_device(house: House) -> None:
    client, stringer_id = trusted(house)
    answer = by_pin(client, stringer_id)
    assert answer.status_code == 303
    assert "Stringer 1" in client.get("/events").text


def test_a_device_that_nobody_trusted_has_no_pins(house: House) -> None:
    _, stringer_id = trusted(house)
    answer = by_pin(house.client(), stringer_id)
    assert answer.status_code == 403


def test_a_withdrawn_device_signs_out_whoever_is_on_it(house: House) -> None:
    client, stringer_id = trusted(house)
    by_pin(client, stringer_id)

    def withdraw(session, event: Event) -> None:
        device = session.scalars(select(TrustedDevice)).one()
        accounts.withdraw_device(session, event.id, device.id, acting=make.acting())

    house.write(withdraw)
    assert client.get("/events").status_code == 303


def test_wrong_pins_slow_the_device(house: House) -> None:
    client, stringer_id = trusted(house)
    for _ in range(5):
        by_pin(client, stringer_id, "0000")
    answer = by_pin(client, stringer_id)
    assert answer.status_code == 422
    assert "Too many wrong tries" in answer.text


@pytest.mark.parametrize("pin", ["123", "123456789", "12a4"])
def test_a_pin_is_four_to_eight_digits(house: House, pin: str) -> None:
    def add(session, event: Event) -> None:
        accounts.set_pin(session, event.id, make.make_stringer(session, event).id, pin, acting=make.acting())

    with pytest.raises(accounts.BadInput, match="4 to 8 digits"):
        house.write(add)


def test_no_pin_hash_means_no_sign_in_by_pin(house: House) -> None:
    client, _ = trusted(house)
    other = house.write(lambda session, event: make.make_stringer(session, event).id)
    assert by_pin(client, other, "").status_code == 422
    assert house.get(Stringer, other).pin_hash == ""
