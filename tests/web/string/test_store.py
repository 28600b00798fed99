"""The string store on its screens: everything is an entry, and what runs out says so."""

import pytest
from sqlalchemy import select

from desk.models import Event, Reel, ReelEntry, StringType
from desk.queries.string.store import balances
from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene


def left(house: House, reel_id: int) -> float:
    with house.database.reading() as session:
        return balances(session, [reel_id])[reel_id]


def a_reel(house: House) -> int:
    return house.scalars(select(Reel.id).where(Reel.code == "R131")).one()


def test_an_event_without_string_says_what_to_do_first(house: House) -> None:
    assert "First name the string below" in house.as_role("desk").get("/store").text


def test_a_string_and_its_reels_come_into_the_store(house: House) -> None:
    client = house.as_role("desk")
    string = {"name": "Moor Poly", "material": "polyester", "gauge_mm": "1.25", "colour": "peat"}
    assert client.post("/store/strings", data=string).status_code == 303
    string_id = house.scalars(select(StringType.id)).one()
    reels = {"string_id": string_id, "kind": "reel", "count": "2", "metres": "200", "place": "Shelf C"}
    assert client.post("/store/reels", data=reels).status_code == 303
    assert client.get("/store").text.count("200.0 m") == 2


def test_a_string_without_its_material_is_told_at_the_field(house: House) -> None:
    answer = house.as_role("desk").post("/store/strings", data={"name": "Moor Poly", "material": ""})
    assert answer.status_code == 422 and 'id="material-fault"' in answer.text


def test_reels_of_an_unknown_owner_are_told_at_the_field(house: House, day: scene.Scene) -> None:
    string_id = house.scalars(select(StringType.id)).first()
    data = {"string_id": string_id, "kind": "set", "count": "1", "metres": "12", "owner": "Nobody Known"}
    answer = house.as_role("desk").post("/store/reels", data=data)
    assert answer.status_code == 422 and 'id="owner-fault"' in answer.text


@pytest.mark.parametrize(("what", "metres", "after"), [("receive", 5, 36.5), ("waste", 1.5, 30), ("measured", 29, 29)])
def test_what_happens_to_a_reel_is_a_further_entry(
    house: House, day: scene.Scene, what: str, metres: float, after: float
) -> None:
    reel_id = a_reel(house)
    data = {"what": what, "metres": metres, "note": "looked at"}
    assert house.as_role("desk").post(f"/store/reel/{reel_id}/entry", data=data).status_code == 303
    assert left(house, reel_id) == pytest.approx(after)
    assert len(house.scalars(select(ReelEntry).where(ReelEntry.reel_id == reel_id)).all()) == 2


def test_more_waste_than_there_is_is_refused(house: House, day: scene.Scene) -> None:
    reel_id = a_reel(house)
    answer = house.as_role("desk").post(f"/store/reel/{reel_id}/entry", data={"what": "waste", "metres": 99})
    assert answer.status_code in (409, 422) and left(house, reel_id) == pytest.approx(31.5)


def test_a_reel_is_taken_out_and_put_back(house: House, day: scene.Scene) -> None:
    reel_id, client = a_reel(house), house.as_role("desk")
    client.post(f"/store/reel/{reel_id}/off", data={"note": "for tomorrow"})
    assert "out of the store" in client.get(f"/store/reel/{reel_id}").text
    client.post(f"/store/reel/{reel_id}/back")
    assert "out of the store" not in client.get(f"/store/reel/{reel_id}").text.split("<section>")[0]


def test_a_reel_that_is_dropped_is_all_waste(house: House, day: scene.Scene) -> None:
    reel_id = a_reel(house)
    house.as_role("desk").post(f"/store/reel/{reel_id}/off", data={"note": "tangled", "spoiled": "1"})
    assert left(house, reel_id) == pytest.approx(0)


def test_string_that_runs_short_names_the_racquets_that_cannot_be_strung(house: House, day: scene.Scene) -> None:
    """Gut for two: one hybrid is on the machine, the next takes the rest, the other is named."""
    house.write(_leave_gut_for_one)
    page = house.as_role("desk").get("/store").text
    assert "No string for these racquets" in page
    named = page.split("No string for these racquets")[1].split("</section>")[0]
    hybrids = [job.code for job in day.in_state("waiting") if job.player_id in (day.players[2].id, day.players[6].id)]
    assert sum(code in named for code in hybrids) == len(hybrids) - 1


def _leave_gut_for_one(session, event: Event) -> None:
    gut = session.scalars(select(StringType).where(StringType.name == "Fell Gut")).one()
    for reel in session.scalars(select(Reel).where(Reel.string_type_id == gut.id)):
        reel.withdrawn_at = make.moment("Mon 12:00")
    make.make_reel(session, gut, metres=14.0)


def test_the_search_finds_a_reel_by_its_place(house: House, day: scene.Scene) -> None:
    client = house.as_role("desk")
    assert client.get("/store?q=shelf+tarn").text.count('class="code">R1') == 2
    assert "Nothing in the store is called" in client.get("/store?q=zzz").text


def test_what_to_order_has_a_line_for_each_string(house: House, day: scene.Scene) -> None:
    page = house.as_role("desk").get("/store/order").text
    assert all(name in page for name in ("Tarn Poly", "Fell Gut"))


def test_half_sets_are_counted_apart_from_sets(house: House, day: scene.Scene) -> None:
    client = house.as_role("desk")
    gut_id = house.scalars(select(StringType.id).where(StringType.name == "Fell Gut")).one()
    for kind, metres in (("set", "12.2"), ("half_set", "6.4")):
        sent = {"string_id": gut_id, "kind": kind, "count": "2", "metres": metres}
        assert client.post("/store/reels", data=sent).status_code == 303
    page = client.get("/store").text
    assert "Fell Gut 1.30: 2 sets and 2 half sets" in page and "½ set" in page


def test_what_a_reel_cost_is_kept_corrected_and_taken_away(house: House, day: scene.Scene) -> None:
    client, reel_id = house.as_role("desk"), a_reel(house)
    address = f"/store/reel/{reel_id}"
    for price, shown in (("1,189.50", "cost 1,189.50 EUR"), ("189", "cost 189.00 EUR"), ("", None)):
        assert client.post(f"{address}/place", data={"place": "Shelf D", "price": price}).status_code == 303
        page = client.get(address).text
        assert (shown in page) if shown else ("· cost" not in page)
    for wrong in ("a lot", "-3", "1.234"):
        answer = client.post(f"{address}/place", data={"place": "Shelf D", "price": wrong})
        assert answer.status_code == 422 and 'id="price-fault"' in answer.text and wrong in answer.text


def test_reels_come_in_with_what_each_cost(house: House, day: scene.Scene) -> None:
    string_id = house.scalars(select(StringType.id).where(StringType.name == "Fell Gut")).one()
    sent = {"string_id": string_id, "kind": "set", "count": "3", "metres": "12.2", "price": "32.50"}
    assert house.as_role("desk").post("/store/reels", data=sent).status_code == 303
    assert house.scalars(select(Reel.price_minor).where(Reel.price_minor.is_not(None))).all() == [3250] * 3
