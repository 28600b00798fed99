"""Players on their screens: search, history to take along, advice, link, erasing, and the account."""

import csv
from io import StringIO

from sqlalchemy import select

from desk.models import Charge, Frame, Player, Settlement
from desk.queries.money.charges import open_minor
from tests.web.conftest import House
from tests.web.scenes import scene


def owed(house: House, player_id: int) -> int:
    return house.write(lambda session, event: open_minor(session, event, player_id))


def test_an_event_without_players_says_what_to_do_first(house: House) -> None:
    assert "No player yet. Add the first one below" in house.as_role("desk").get("/players").text


def test_a_player_is_found_by_letters_without_accents(house: House, day: scene.Scene) -> None:
    page = house.as_role("desk").get("/players?q=tomas").text
    assert "Tomás Reiterer" in page and "Ya Lim" not in page


def test_a_namesake_is_added_only_when_the_desk_says_so(house: House, day: scene.Scene) -> None:
    client = house.as_role("desk")
    assert client.post("/players", data={"name": "Ya Lim"}).status_code in (409, 422)
    assert client.post("/players", data={"name": "Ya Lim", "is_namesake": "y"}).status_code == 303


def test_a_player_page_shows_racquets_and_every_job(house: House, day: scene.Scene) -> None:
    page = house.as_role("desk").get(f"/players/{day.players[0].id}").text
    mine = [job for job in day.jobs if job.player_id == day.players[0].id]
    assert all(job.code in page for job in mine)


def test_the_history_file_has_a_line_for_each_job(house: House, day: scene.Scene) -> None:
    answer = house.as_role("desk").get(f"/players/{day.players[0].id}/history.csv")
    lines = list(csv.reader(StringIO(answer.text)))
    assert len(lines) == 1 + sum(job.player_id == day.players[0].id for job in day.jobs)
    assert answer.mimetype == "text/csv"


def test_a_name_that_looks_like_a_formula_is_text_in_the_file(house: House, day: scene.Scene) -> None:
    house.write(lambda session, event: setattr(session.get_one(Player, day.players[1].id), "name", "=1+1"))
    assert "'=1+1" in house.as_role("desk").get("/players/charges.csv").text


def test_a_new_link_closes_the_old_one(house: House, day: scene.Scene) -> None:
    house.as_role("desk").post(f"/players/{day.players[0].id}/link")
    assert house.get(Player, day.players[0].id).token != day.players[0].token


def test_a_proposal_comes_with_its_reason_and_fills_in_nothing(house: House, day: scene.Scene) -> None:
    page = house.as_role("desk").get(f"/players/{day.players[0].id}/advice?breaks_soon=yes").text
    assert "nothing is filled in" in page and "The player decides" in page


def test_erasing_waits_until_the_event_is_over(house: House, day: scene.Scene) -> None:
    answer = house.as_role("lead").post(f"/players/{day.players[0].id}/erase")
    assert answer.status_code == 422 and day.players[0].name in answer.text


def test_a_frame_is_added_and_a_range_without_unit_is_told(house: House) -> None:
    client, data = house.as_role("desk"), {"name": "Fell 100", "mains": "16", "crosses": "19", "tension_unit": ""}
    answer = client.post("/players/frames", data=data | {"tension_low": "20", "tension_high": "25"})
    assert answer.status_code == 422 and "-fault" in answer.text
    assert client.post("/players/frames", data=data).status_code == 303
    frame_id = house.scalars(select(Frame.id)).one()
    assert client.post(f"/players/frames/{frame_id}", data=data | {"head_sq_in": "100"}).status_code == 303


def test_a_charge_is_corrected_by_a_further_line(house: House, day: scene.Scene) -> None:
    who, client = day.players[1].id, house.as_role("desk")
    charge_id = house.scalars(select(Charge.id).where(Charge.player_id == who)).first()
    before = owed(house, who)
    data = {"correct-amount": "15.00", "correct-reason": "agreed"}
    assert client.post(f"/players/{who}/account/{charge_id}/correct", data=data).status_code == 303
    assert owed(house, who) == before - 300
    assert house.get(Charge, charge_id).amount_minor == 1800


def test_an_account_is_settled_and_the_payment_taken_back(house: House, day: scene.Scene) -> None:
    who, client = day.players[1].id, house.as_role("desk")
    before = owed(house, who)
    client.post(f"/players/{who}/account/pay", data={"amount": "10.00", "method": "prize_money"})
    assert owed(house, who) == before - 1000
    payment = house.scalars(select(Settlement.id)).one()
    client.post(f"/players/{who}/account/payment/{payment}/back")
    assert owed(house, who) == before


def test_an_amount_that_is_none_is_told_at_its_field(house: House, day: scene.Scene) -> None:
    answer = house.as_role("desk").post(f"/players/{day.players[1].id}/account/pay", data={"amount": "ten"})
    assert answer.status_code == 422 and "choose how it was paid" in answer.text
    data = {"amount": "ten", "method": "cash"}
    answer = house.as_role("desk").post(f"/players/{day.players[1].id}/account/pay", data=data)
    assert answer.status_code == 422 and 'id="amount-fault"' in answer.text


def test_the_referee_list_adds_up(house: House, day: scene.Scene) -> None:
    page = house.as_role("lead").get("/players/charges").text
    total = sum(house.scalars(select(Charge.amount_minor).where(Charge.payer_id.is_(None))))
    assert f"<strong>{total / 100:,.2f}</strong>" in page
