"""Paper: what stands on it, and links that lead where they should."""

from __future__ import annotations

import pytest

from desk.models import Player
from tests.web import scene
from tests.web.conftest import House


@pytest.fixture
def day(house: House) -> scene.Scene:
    return house.write(scene.fill)


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
    assert "52.5" in card and "pre-stretch 10 %" in card and "burst under tension" in card
    assert client.get(f"/print/receipt/{job.drop_off_id}").status_code == 403


def test_a_wrong_tag_is_refused_with_what_to_do(house: House, day: scene.Scene) -> None:
    answer = house.as_role("desk").get("/print/tag/XXXX")
    assert (answer.status_code, "at pickup instead" in answer.text) == (404, True)


def test_a_new_link_is_given_and_the_old_one_dies(house: House, day: scene.Scene) -> None:
    player = day.players[0]
    answer = house.as_role("desk").post(f"/print/link/{player.id}", follow_redirects=True)
    assert "the old one no longer works" in answer.text
    with house.database.reading() as session:
        token = session.get_one(Player, player.id).token
    assert token != player.token and f"/p/{token}" in answer.text
    assert house.client().get(f"/p/{player.token}").status_code == 404


def test_the_public_address_goes_into_the_link(house: House, day: scene.Scene, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DESK_PUBLIC_URL", "https://desk.example.org/")
    page = house.as_role("desk").get(f"/print/link/{day.players[0].id}").text
    assert f"https://desk.example.org/p/{day.players[0].token}" in page
