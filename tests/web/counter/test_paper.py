"""Paper: what stands on it, and links that lead where they should."""

import pytest

from desk.models import DropOff, Job, Player
from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene


def test_a_tag_has_a_size_and_falls_back_to_the_label(house: House, day: scene.Scene) -> None:
    client, code = house.as_role("desk"), day.in_state("waiting")[0].code
    for asked, sheet in (("label", "tag-label"), ("a7", "tag-a7"), ("a0", "tag-label")):
        assert f"sheet {sheet}" in client.get(f"/print/tag/{code}?size={asked}").text


def test_every_racquet_of_a_visit_has_its_tag(house: House, day: scene.Scene) -> None:
    job = day.in_state("waiting")[0]
    assert house.as_role("desk").get(f"/print/tags/{job.drop_off_id}").text.count("tag-label") == 1


def test_no_page_needs_what_the_policy_forbids(house: House, day: scene.Scene) -> None:
    page = house.as_role("desk").get(f"/print/receipt/{day.jobs[11].drop_off_id}").text
    assert [word for word in ('style="', "data:", "<style", "onclick") if word in page] == []


def test_a_stringer_prints_the_card_and_no_receipt(house: House, day: scene.Scene) -> None:
    client, job = house.as_role("stringer"), day.in_state("waiting")[0]
    card = client.get(f"/print/card/{job.code}").text
    assert "52.5" in card and "Pre-stretch 10 %" in card and "burst under tension" in card
    assert client.get(f"/print/receipt/{job.drop_off_id}").status_code == 403


def test_the_card_says_both_units_what_to_cut_and_where_the_racquet_goes(house: House, day: scene.Scene) -> None:
    job = day.in_state("waiting")[0]
    card = house.as_role("stringer").get(f"/print/card/{job.code}").text
    # 52.5 lb x 0.453 592 37 = 23.81 kg, 50.5 lb = 22.91 kg (NIST SP 811, App. B.8)
    for words in ("23.8 kilos", "22.9 kilos", "Cut <strong>", "98 sq in", "printed 45 to 60 lb", "sisters:", "4 knots"):
        assert words in card
    assert "page 2" not in card


def test_a_long_note_goes_on_to_a_second_page_that_says_so(house: House, day: scene.Scene) -> None:
    job, note = day.in_state("waiting")[0], "Weave the crosses from the throat. " * 5 + "Call the coach."

    def write(session, event) -> None:
        card = session.get_one(Job, job.id).card
        card.note, card.stencil = note, "Crossed feathers in white over the whole bed, twice, dry it"

    house.write(write)
    card = house.as_role("stringer").get(f"/print/card/{job.code}").text
    assert "Page 1 of 2: the notes stand on page 2" in card and "Page 2 of 2: notes" in card
    first, second = card.split("Page 2 of 2")
    assert note not in first and note in second


def test_the_label_says_tension_and_string(house: House, day: scene.Scene) -> None:
    label = house.as_role("desk").get(f"/print/tag/{day.in_state('waiting')[0].code}").text
    assert "52.5 / 50.5 lb" in label and "Mon 13:22" in label


def test_the_receipt_says_price_tax_and_what_ready_by_means(house: House, day: scene.Scene) -> None:
    def prices(session, event) -> None:
        event.tax_basis_points = 2300
        make.make_price(session, event, "labour", 1800, tax_basis_points=600)
        make.make_price(session, event, "stencil", 150)

    house.write(prices)
    job = day.in_state("waiting")[0]
    page = house.as_role("desk").get(f"/print/receipt/{job.drop_off_id}").text
    # 18.00 at 6 % holds 1.02, 1.50 at 23 % holds 0.28
    assert "19.50 EUR" in page and "of it tax 1.02 at 6 %, 0.28 at 23 %" in page
    assert "you can fetch it at the desk from then on" in page and "Mon 13:22" in page


def test_a_wrong_tag_is_refused_with_what_to_do(house: House, day: scene.Scene) -> None:
    answer = house.as_role("desk").get("/print/tag/XXXX")
    assert (answer.status_code, "at pickup instead" in answer.text) == (404, True)


def test_a_new_link_is_given_and_the_old_one_dies(house: House, day: scene.Scene) -> None:
    player = day.players[0]
    answer = house.as_role("desk").post(f"/print/link/{player.id}", follow_redirects=True)
    assert "the old one no longer works" in answer.text
    token = house.get(Player, player.id).token
    assert token != player.token and f"/p/{token}" in answer.text
    assert house.client().get(f"/p/{player.token}").status_code == 404


def test_the_public_address_goes_into_the_link(house: House, day: scene.Scene, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DESK_PUBLIC_URL", "https://desk.example.org/")
    page = house.as_role("desk").get(f"/print/link/{day.players[0].id}").text
    assert f"https://desk.example.org/p/{day.players[0].token}" in page


def test_the_receipt_of_a_coach_who_sees_no_prices_has_none(house: House, day: scene.Scene) -> None:
    job = next(job for job in day.in_state("waiting") if job.player_id == day.players[4].id)

    def bring(session, event) -> None:
        make.make_price(session, event, "labour", 1800)
        session.get_one(DropOff, job.drop_off_id).brought_by_id = day.contacts[0].id

    house.write(bring)
    address = f"/print/receipt/{job.drop_off_id}"
    page = house.as_role("desk").get(address).text
    assert job.code in page and "18.00" not in page and "EUR" not in page
    house.write(lambda session, _event: setattr(session.get_one(DropOff, job.drop_off_id), "brought_by_id", None))
    assert "18.00" in house.as_role("desk").get(address).text
