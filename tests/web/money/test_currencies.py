"""Currencies of no, two and three decimals: what is typed is what is stored, charged, shown and listed."""

import csv

import pytest
from sqlalchemy import select

from desk.models import Charge, Event, Price
from desk.services.bench import jobs
from tests import make
from tests.web.conftest import House

# Minor units by ISO 4217; the CLDR would show the dinar of Serbia without any.
TYPED = [
    ("EUR", "20.50", "20.50", "0.00"),
    ("JPY", "2050", "2,050", "0"),
    ("KWD", "2.050", "2.050", "0.000"),
    ("RSD", "20.50", "20.50", "0.00"),
]


def strung(session, event: Event) -> int:
    """String a racquet of a new player at the prices of the event, and return the player's id."""
    player = make.make_player(session, event)
    make.make_reel(session, make.make_string(session, event))
    machine = make.make_machine(session, event)
    place = {"stringer_id": make.make_stringer(session, event).id, "machine_id": machine.id}
    started = make.moment("Mon 11:00")
    job = make.make_job(session, player, state="on_machine", started_at=started, **place)
    finish = jobs.Finish(checks=tuple(jobs.BENCH_CHECKS))
    jobs.finish_job(session, event.id, job.id, finish, acting=make.acting("Mon 11:22"))
    return player.id


@pytest.mark.parametrize(("currency", "text", "shown", "nothing"), TYPED)
def test_an_amount_goes_to_the_minor_unit_and_back(
    house: House, currency: str, text: str, shown: str, nothing: str
) -> None:
    def use(_session, event: Event) -> None:
        event.currency, event.tax_basis_points = currency, 2500

    house.write(use)
    lead = house.as_role("lead")
    data = {"what": "labour job", "string_id": "0", "amount": text}
    assert lead.post("/settings/prices", data=data).status_code == 303
    assert f'value="{text}"' in lead.get("/settings/prices").text
    player_id = house.write(strung)
    with house.database.reading() as session:
        assert session.scalars(select(Price.amount_minor)).one() == 2050
        charge = session.scalars(select(Charge)).one()
        # Tax of a quarter within 2050: 2050 / 1.25 = 1640 and 410.
        assert (charge.amount_minor, charge.tax_minor, charge.currency) == (2050, 410, currency)
    assert shown in lead.get(f"/players/{player_id}/account").text
    assert text in lead.get("/players/charges.csv").text
    paid = lead.post(f"/players/{player_id}/account/pay", data={"amount": text, "method": "card"})
    assert paid.status_code == 303
    (row,) = csv.DictReader(lead.get("/players/charges.csv").text.splitlines())
    assert (row["charged"], row["card"], row["open"]) == (text, text, nothing)


@pytest.mark.parametrize(("currency", "text"), [("JPY", "20.5"), ("EUR", "20.505"), ("KWD", "2.0505")])
def test_more_decimals_than_the_currency_has_are_refused(house: House, currency: str, text: str) -> None:
    house.write(lambda _session, event: setattr(event, "currency", currency))
    data = {"what": "labour job", "string_id": "0", "amount": text}
    assert house.as_role("lead").post("/settings/prices", data=data).status_code == 422
