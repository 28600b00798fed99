"""At the counter in a real browser: cards opened, racquets added, a visit taken back, and no script."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from desk.models import Event, Player
from tests import make
from tests.web.browser.conftest import accessibility_faults
from tests.web.browser.counter.counter_keys import add_player, jobs_of, open_drop_off, without_calibration
from tests.web.browser.screens import wider_than_screen
from tests.web.browser.served import Site
from tests.web.browser.waits import each

pytestmark = pytest.mark.browser


def test_an_opened_card_is_no_wider_than_the_screen_and_names_its_halves_once(visit: Callable, site: Site) -> None:
    player_id = add_player(site, "Zora Quindle", racquets=1, strung=False)
    watched = visit("desk")
    page = watched.page
    page.set_viewport_size({"width": 1440, "height": 900})
    page.goto(site.to(f"/drop-off/{player_id}"))
    page.locator("[data-take]").check()
    page.get_by_text("Knots, pre-stretch and more").click()
    assert wider_than_screen(page) == 0
    card = page.locator("[data-racquet]")
    for half in ("mains", "crosses"):
        expect(card.get_by_label(half.capitalize(), exact=True)).to_have_count(1)
        expect(card.get_by_label(f"String in the {half}")).to_have_count(1)
    watched.check()


def test_enter_at_a_new_racquet_adds_it_and_accepts_nothing(visit: Callable, site: Site) -> None:
    player_id = add_player(site, "Zora Quindle", racquets=1)
    watched, page = open_drop_off(visit, site, f"{player_id}?take=all")
    page.get_by_text("A racquet that is not on the list").click()
    page.get_by_label("Frame", exact=True).select_option(index=1)
    page.get_by_label("How many").press("Enter")
    expect(page.locator("[data-take]:checked")).to_have_count(2)
    expect(page.locator("[data-take]").nth(1)).to_be_focused()
    assert jobs_of(site, player_id) == []
    watched.check()


def test_a_player_who_does_not_know_gets_a_proposal_and_nothing_is_filled_in(visit: Callable, site: Site) -> None:
    player_id = add_player(site, "Quill Harrow", racquets=1, strung=False)
    watched, page = open_drop_off(visit, site, player_id, size="phone")
    page.locator("[data-take]").check()
    page.get_by_text("The player does not know what to ask for").click()
    expect(page.locator(".propose dl")).to_contain_text("52.5 lb")
    expect(page.locator(".propose")).to_contain_text("middle of the range")
    assert [field.input_value() for field in each(page.locator(".tension-input"), 2)] == ["", ""]
    expect(page.locator(".unit-in :checked")).to_have_count(0)
    watched.check()


def test_a_visit_is_taken_back_at_the_counter(visit: Callable, site: Site) -> None:
    player_id = add_player(site, "Zora Quindle", racquets=1)
    watched, page = open_drop_off(visit, site, f"{player_id}?take=all", size="phone")
    page.get_by_role("button", name="Accept").click()
    page.get_by_role("button", name="Take this drop-off back").click()
    expect(page.get_by_text("The drop-off of Zora Quindle is taken back")).to_be_visible()
    assert jobs_of(site, player_id) == []
    watched.check()


def test_on_a_phone_the_bar_is_low_until_its_place_and_covers_nothing_in_use(visit: Callable, site: Site) -> None:
    player_id = add_player(site, "Quon Adair", racquets=3)
    without_calibration(site)
    watched, page = open_drop_off(visit, site, f"{player_id}?take=all", size="phone")
    bar, court = page.locator(".visit-ready"), page.locator("input[value='on_court']")
    expect(page.locator(".visit-ready .time.hero")).to_be_visible()
    page.evaluate("scrollTo(0, 0)")
    expect(bar).to_have_class("visit-ready lies-over")
    assert (
        bar.bounding_box()["height"] < page.viewport_size["height"] / 8
        and not page.locator(".ready-where").is_visible()
    )
    court.focus()
    assert court.bounding_box()["y"] + court.bounding_box()["height"] <= bar.bounding_box()["y"]
    page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
    expect(bar).to_have_class("visit-ready")
    expect(page.locator(".ready-where")).to_be_visible()
    expect(page.locator("kbd:visible")).to_have_count(0)
    watched.check()


def test_drop_off_works_without_script(visit: Callable, site: Site) -> None:
    player_id = add_player(site, "Zora Quindle", racquets=2)
    page = visit("desk", java_script_enabled=False).page
    page.goto(site.to("/drop-off"))
    page.get_by_label("Who hands in?").fill("zor")
    page.get_by_role("button", name="Find").click()
    page.get_by_role("link", name="All 2 as last time").click()
    page.get_by_role("button", name="Accept").click()
    page.wait_for_url("**/drop-off/taken/*")
    assert len(jobs_of(site, player_id)) == 2


@pytest.mark.parametrize("size", ["tablet", "phone"])
def test_worn_grommets_ask_which_and_for_consent_by_one_touch(visit: Callable, site: Site, axe: str, size: str) -> None:
    player_id = add_player(site, "Zora Quindle", racquets=2)
    watched, page = open_drop_off(visit, site, f"{player_id}?take=all", size=size)
    which, consent = page.get_by_role("group", name="Which of them?"), page.get_by_label("The owner’s consent")
    expect(which).to_be_hidden()
    page.get_by_label("Grommets worn").check()
    expect(which).to_be_visible()
    expect(consent).to_be_visible()
    assert accessibility_faults(page, axe) == []
    which.get_by_label("2").check()
    consent.fill("owner, here")
    page.get_by_role("button", name="Accept").click()
    page.wait_for_url("**/drop-off/taken/*")
    assert [job.frame_check for job in jobs_of(site, player_id)] == ["sound", "worn"]
    watched.check()


@pytest.mark.parametrize("size", ["tablet", "phone"])
def test_a_split_shows_each_racquet_in_both_ways_and_whom_it_makes_late(
    visit: Callable, site: Site, axe: str, size: str
) -> None:
    player_id = add_player(site, "Zora Quindle", racquets=4)
    without_calibration(site)
    with site.database.writing() as session:
        event = session.get_one(Event, site.scene.event.id)
        court, players = make.make_court(session, event, name="Court 9"), [session.get_one(Player, player_id), None]
        make.make_match(session, court, day=event.days[0], players=players, start="not before 13:25")
    watched, page = open_drop_off(visit, site, f"{player_id}?take=all", size=size)
    ways = page.locator(".ready-split dd")
    expect(ways).to_have_count(2)
    page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
    for way in each(ways, 2):
        expect(way.locator(".split-each b:visible")).to_have_text([re.compile(r"^\d\d:\d\d$")] * 4)
        expect(way.locator(".split-others")).to_contain_text("Breaks what was promised for")
    expect(page.get_by_label("Keep all with one")).to_be_in_viewport()
    assert wider_than_screen(page) == 0 and accessibility_faults(page, axe) == []
    watched.check()
