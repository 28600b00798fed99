"""How a racquet was strung before, behind one touch from the tag and from the drop-off."""

from tests import make
from tests.web.conftest import House
from tests.web.scenes import scene


def test_one_touch_leads_from_the_tag_there_and_back(house: House, day: scene.Scene) -> None:
    client, job = house.as_role("desk"), day.in_state("strung")[0]
    where = f"/players/{job.player_id}/before/1?tag={job.code}"
    assert where.replace("&", "&amp;") in client.get(f"/tag/{job.code}").text
    page = client.get(where).text
    assert "hours of play not known" in page and f"Back to {job.code}" in page
    for word in ("common practice", "own coach", "Pain is for a clinician"):
        assert word in page


def test_at_drop_off_it_is_a_part_of_the_page_and_takes_the_hours(house: House, day: scene.Scene) -> None:
    client, player = house.as_role("desk"), day.players[0]
    page = client.get(f"/drop-off/{player.id}").text
    assert "How it was strung before" in page
    assert "Hours played since, if the player says" in page
    part = client.get(f"/players/{player.id}/before/1?at=drop-off", headers={"X-Fragment": "1"}).text
    assert "<html" not in part and "At the least as many times a year" in part


def test_a_player_of_another_event_is_not_there(house: House, day: scene.Scene) -> None:
    other = house.write(lambda session, _event: make.make_player(session, make.make_event(session)).id)
    assert house.as_role("desk").get(f"/players/{other}/before/1").status_code == 404
