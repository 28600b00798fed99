"""The office in a browser: a day with rain, a machine that goes out, a calibration that fails."""

import re

import pytest
from playwright.sync_api import expect

from tests.web.browser.waits import each

pytestmark = pytest.mark.browser


def test_rain_stops_every_court_and_play_goes_on(visit, site) -> None:
    watched = visit("desk", size="tablet")
    page = watched.page
    page.goto(site.to("/play"))
    page.get_by_role("button", name="Rain: all courts stop").click()
    expect(page.get_by_text("Play is stopped on all courts", exact=True)).to_be_visible()
    expect(page.get_by_text("suspended, nobody knows yet until when")).to_be_visible()
    page.get_by_label("Play resumes at").fill("15:30")
    page.get_by_role("button", name="Say it").click()
    expect(page.locator(".weather-word")).to_contain_text("it resumes: 15:30")
    expect(page.get_by_text("suspended, plays on about then")).to_be_visible()
    page.get_by_role("button", name="Play goes on now").click()
    expect(page.get_by_role("button", name="Rain: all courts stop")).to_be_visible()
    expect(page.locator(".match-on_court")).to_have_count(1)
    watched.check()


def test_a_match_is_over_in_two_touches_on_a_phone_and_comes_back(visit, site) -> None:
    watched = visit("desk", size="phone")
    page = watched.page
    page.goto(site.to("/play"))
    page.get_by_role("button", name=re.compile("^Finished")).click()
    page.get_by_role("button", name=re.compile("Ari Sandgate won match")).click()
    over = page.locator(".match-finished", has_text="Ari Sandgate")
    expect(over).to_contain_text("won")
    over.locator("summary").click()
    over.get_by_role("button", name="Take back the last touch").click()
    expect(page.locator(".match-on_court")).to_have_count(1)
    watched.check()


def test_what_a_touch_of_play_moved_is_in_sight_beside_its_match(visit, site) -> None:
    watched = visit("desk", size="phone")
    page = watched.page
    page.set_viewport_size({"width": 390, "height": 420})
    page.goto(site.to("/play"))
    page.get_by_role("button", name=re.compile("^Started")).last.click()
    page.wait_for_url("**#match-*")
    said = page.get_by_text("Noted.")
    expect(said).to_be_in_viewport()
    match = page.locator(f"#{page.url.rpartition('#')[2]}")
    assert match.bounding_box()["y"] >= said.bounding_box()["y"] + said.bounding_box()["height"] - 1
    watched.check()


def test_a_machine_goes_out_by_one_touch_and_comes_back(visit, site) -> None:
    watched = visit("desk", size="tablet")
    page = watched.page
    page.goto(site.to("/machines"))
    page.get_by_role("button", name=re.compile("Out of service.*Bench 2")).click()
    page.wait_for_url("**/plan#stranded")  # a racquet is on it: what becomes of that is asked first
    page.goto(site.to("/machines"))
    page.get_by_role("button", name=re.compile("It is back.*Bench 2")).click()
    expect(page.get_by_role("button", name=re.compile("Out of service.*Bench 2"))).to_be_visible()
    watched.check()


def test_a_calibration_outside_the_tolerance_is_told_and_drawn(visit, site) -> None:
    watched = visit("desk", size="tablet")
    page = watched.page
    page.goto(site.to(f"/machines/{site.scene.machines[0].id}"))
    page.get_by_text("kilos", exact=True).click()
    for label, figure in (("First tension set", "20"), ("Second tension set", "25")):
        page.get_by_label(label).fill(figure)
    for field, figure in zip(each(page.get_by_label("Gauge then read"), 2), ("20.1", "26.5"), strict=True):
        field.fill(figure)
    page.get_by_role("button", name="Keep the readings").click()
    expect(page.locator(".said")).to_contain_text("Outside the tolerance")
    expect(page.locator("svg .trend-out")).to_have_count(1)
    watched.check()
