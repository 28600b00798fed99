"""Settings on their screens: the event, days, prices, people, devices, and bench times."""

from sqlalchemy import select

from desk.models import Account, Event, EventDay, HouseTime, Price, Stringer, TrustedDevice
from desk.services.team.accounts import trust_device
from desk.trade.event.event_settings import SETTINGS
from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene


def as_it_is(house: House, **over: object) -> dict[str, object]:
    def look(_session, event: Event) -> dict[str, object]:
        return {name: getattr(event, name) for name in SETTINGS}

    values = house.write(look) | over
    return {name: value for name, value in values.items() if value is not False}


def test_a_setting_is_changed_and_the_others_stay(house: House) -> None:
    before = as_it_is(house)
    assert house.as_role("lead").post("/settings", data=as_it_is(house, lead_minutes=45)).status_code == 303
    assert as_it_is(house) == before | {"lead_minutes": 45}


def test_tax_is_typed_in_per_cent(house: House) -> None:
    assert house.as_role("lead").post("/settings", data=as_it_is(house, tax_basis_points="8,1")).status_code == 303
    assert as_it_is(house)["tax_basis_points"] == 810
    assert 'value="8.1"' in house.as_role("lead").get("/settings").text


def test_a_setting_out_of_its_range_is_told_at_its_field(house: House) -> None:
    answer = house.as_role("lead").post("/settings", data=as_it_is(house, target_minutes=1))
    assert answer.status_code == 422 and 'id="target_minutes-fault"' in answer.text


def test_settings_lead_on_to_what_a_running_desk_needs(house: House) -> None:
    page = house.as_role("lead").get("/settings").text
    assert all(f'href="/{where}"' in page for where in ("machines", "team", "store", "play"))


def test_the_hours_of_a_day_are_changed_past_midnight(house: House) -> None:
    day_id = house.scalars(select(EventDay.id).order_by(EventDay.date)).first()
    client, where = house.as_role("lead"), f"/settings/days/{day_id}"
    assert client.post(where, data={"opens": "07:30", "closes": "24:30"}).status_code == 303
    assert house.get(EventDay, day_id).closes_at == make.moment("Tue 00:30")
    assert client.post(where, data={"opens": "early", "closes": "20:00"}).status_code == 422


def test_a_price_is_set_and_taken_off(house: House) -> None:
    client, data = house.as_role("lead"), {"what": "labour job", "string_id": "0", "amount": "18.50"}
    assert client.post("/settings/prices", data=data).status_code == 303
    with house.database.reading() as session:
        price = session.scalars(select(Price)).one()
        assert price.amount_minor == 1850
    client.post(f"/settings/prices/{price.id}/remove")
    assert "No price yet" in client.get("/settings/prices").text


def test_a_price_without_a_tax_takes_that_of_the_event(house: House) -> None:
    client = house.as_role("lead")
    assert 'name="tax" type="text" value=""' in client.get("/settings/prices").text
    data = {"what": "string set", "string_id": "0", "amount": "18,50", "tax": ""}
    assert client.post("/settings/prices", data=data).status_code == 303
    with house.database.reading() as session:
        price = session.scalars(select(Price)).one()
        assert (price.kind, price.per, price.amount_minor, price.tax_basis_points) == ("string", "set", 1850, None)


def test_a_price_of_nothing_known_is_refused(house: House) -> None:
    client = house.as_role("lead")
    for what in ("string job", "", "labour"):
        assert client.post("/settings/prices", data={"what": what, "amount": "9"}).status_code == 422


def test_a_price_in_too_small_coins_is_told_at_its_field(house: House) -> None:
    data = {"what": "labour job", "string_id": "0", "amount": "18.505"}
    answer = house.as_role("lead").post("/settings/prices", data=data)
    assert answer.status_code == 422 and 'id="amount-fault"' in answer.text


def test_somebody_is_added_stopped_and_let_in_again(house: House) -> None:
    client = house.as_role("lead")
    data = {"name": "counter two", "role": "desk", "password": "three more words"}
    assert client.post("/settings/people", data=data).status_code == 303
    account_id = house.scalars(select(Account.id).where(Account.name == "counter two")).one()
    for do, may in (("stop", False), ("go", True)):
        client.post(f"/settings/people/{account_id}/{do}")
        assert house.get(Account, account_id).active is may


def test_a_short_password_is_refused_where_it_was_typed(house: House) -> None:
    client = house.as_role("lead")
    assert client.post("/settings/people", data={"name": "x", "role": "desk", "password": "abc"}).status_code == 422
    answer = client.post(f"/settings/people/{house.accounts['desk']}/password", data={"password": "abc"})
    assert answer.status_code == 422 and "8" in answer.text


def test_a_device_is_trusted_no_longer(house: House) -> None:
    house.write(lambda session, event: trust_device(session, event.id, "Bench tablet 1", acting=make.acting()))
    client = house.as_role("lead")
    assert "Bench tablet 1" in client.get("/settings/people").text
    client.post("/settings/devices/1/withdraw")
    assert "Bench tablet 1" not in client.get("/settings/people").text
    assert house.scalars(select(TrustedDevice.withdrawn_at)).one() is not None


def test_minutes_and_pace_are_overruled_and_learned_again(house: House, day: scene.Scene) -> None:
    client, who = house.as_role("lead"), day.stringers[0].id
    client.post("/settings/times/house", data={"key": "dense", "minutes": "31"})
    client.post(f"/settings/times/pace/{who}", data={"pace": "92"})
    page = client.get("/settings/times").text
    assert 'value="31"' in page and 'value="92"' in page
    client.post("/settings/times/house", data={"key": "dense", "minutes": ""})
    client.post(f"/settings/times/pace/{who}", data={"pace": ""})
    with house.database.reading() as session:
        assert session.get_one(Stringer, who).pace_override is None
        assert [row.minutes for row in session.scalars(select(HouseTime)) if row.minutes == 31] == []


def test_minutes_that_cannot_be_are_refused(house: House, day: scene.Scene) -> None:
    answer = house.as_role("lead").post("/settings/times/house", data={"key": "dense", "minutes": "900"})
    assert answer.status_code == 422
