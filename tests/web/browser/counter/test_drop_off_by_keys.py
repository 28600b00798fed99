"""Drop-off by keyboard alone in a real browser: racquets as last time, changed, new; few keys."""

from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from desk.models import Event, Player
from tests import make
from tests.web.browser.conftest import accessibility_faults
from tests.web.browser.counter.counter_keys import HAND, Keys, add_player, jobs_of, open_drop_off, without_calibration
from tests.web.browser.served import Site

pytestmark = pytest.mark.browser
FEWEST = 8
MOST_FOR_NEW = 24


def test_four_racquets_as_last_time_take_at_most_eight_keys_after_the_name(visit: Callable, site: Site) -> None:
    player_id = add_player(site, "Zora Quindle", racquets=4)
    watched, page = open_drop_off(visit, site)
    page.keyboard.type("zor", delay=HAND)
    keys = Keys(page)
    keys.press("Enter")
    page.wait_for_url(f"**/drop-off/{player_id}")
    expect(page.get_by_role("link", name="All 4 as last time")).to_be_focused()
    keys.press("Enter", "f")
    expect(page.locator("#ready")).to_contain_text("Ready by")
    shown = page.locator("#ready .hero").inner_text()
    keys.press("Enter")
    page.wait_for_url("**/drop-off/taken/*")
    expect(page.locator(".hero")).to_have_text(shown)
    assert keys.count <= FEWEST
    jobs = jobs_of(site, player_id)
    assert [(str(job.card.mains_tension), job.drop_off.frame_checked) for job in jobs] == [("52.5", True)] * 4
    watched.check()


def test_four_racquets_in_a_hurry_say_which_matters_within_the_same_keys(visit: Callable, site: Site, axe: str) -> None:
    player_id = add_player(site, "Zora Quindle", racquets=4)
    with site.database.writing() as session:
        event = session.get_one(Event, site.scene.event.id)
        court, players = make.make_court(session, event, name="Court 9"), [session.get_one(Player, player_id), None]
        make.make_match(session, court, day=event.days[0], players=players, start="not before 13:15")
    watched, page = open_drop_off(visit, site, player_id)
    keys = Keys(page)
    keys.press("Enter", "f")
    choices = page.get_by_role("group", name="Which racquet matters most").get_by_role("radio")
    expect(choices).to_have_count(4)
    expect(choices.first).to_be_checked()
    choices.first.focus()
    keys.press("ArrowDown", "ArrowDown")
    expect(page.locator("#ready.stale")).to_have_count(0)
    expect(choices.nth(2)).to_be_checked()
    expect(choices.nth(2)).to_be_focused()
    assert accessibility_faults(page, axe) == []
    keys.press("Enter")
    page.wait_for_url("**/drop-off/taken/*")
    assert keys.count + 1 <= FEWEST
    assert [(job.matters, job.weight) for job in jobs_of(site, player_id)] == [("", 5), ("", 3), ("first", 10), ("", 3)]
    watched.check()


def test_half_steps_by_keys_change_every_ticked_racquet(visit: Callable, site: Site) -> None:
    player_id = add_player(site, "Zora Quindle", racquets=3)
    watched, page = open_drop_off(visit, site, player_id)
    keys = Keys(page)
    keys.step(1, "1")
    keys.step(1, "3")
    keys.step(2, "-")
    expect(page.locator("#ready .hero")).to_be_visible()
    expect(page.locator("#ready.stale")).to_have_count(0)
    page.locator("#accept").focus()
    keys.step(1, "Enter")
    page.wait_for_url("**/drop-off/taken/*")
    assert [str(job.card.mains_tension) for job in jobs_of(site, player_id)] == ["51.5", "51.5"]
    watched.check()


def test_arrows_choose_another_player_and_step_a_tension(visit: Callable, site: Site) -> None:
    add_player(site, "Zora Quindle", racquets=1)
    second = add_player(site, "Zoran Peel", racquets=1)
    watched, page = open_drop_off(visit, site)
    page.keyboard.type("zor", delay=HAND)
    expect(page.get_by_role("link", name="Zoran Peel")).to_be_visible()
    Keys(page).press("ArrowDown", "Enter")
    page.wait_for_url(f"**/drop-off/{second}")
    Keys(page).press("1")
    page.get_by_label("Mains", exact=True).first.focus()
    Keys(page).press("ArrowUp")
    expect(page.get_by_label("Mains", exact=True).first).to_have_value("53")
    watched.check()


def test_a_new_player_with_two_racquets_by_keyboard_alone(visit: Callable, site: Site) -> None:
    without_calibration(site)
    watched, page = open_drop_off(visit, site)
    page.keyboard.type("Quill Harrow", delay=HAND)
    keys = Keys(page)
    keys.press("Enter")
    expect(page.get_by_label("Frame", exact=True)).to_be_focused()
    page.keyboard.type("Mea", delay=HAND)
    keys.press("Tab")
    page.keyboard.type("2", delay=HAND)
    keys.press("Enter")
    expect(page.locator("[data-take]:checked")).to_have_count(2)
    mains = page.get_by_label("Mains", exact=True)
    page.locator("select[name$=mains_string_id]").first.select_option(index=1)
    mains.first.fill("22")
    page.get_by_label("kilos").first.focus()
    keys.press("Space")
    page.get_by_role("button", name="All like the first").focus()
    keys.press("Enter")
    expect(page.locator("#ready .hero")).to_be_visible()
    page.locator("#accept").focus()
    keys.press("Enter")
    page.wait_for_url("**/drop-off/taken/*")
    expect(page.get_by_text("Quill Harrow, 2 racquets taken in")).to_be_visible()
    expect(page.get_by_text("22 / 22 kg")).to_have_count(2)
    watched.check()


def test_four_new_racquets_by_keyboard_take_a_card_and_few_keys(visit: Callable, site: Site) -> None:
    without_calibration(site)
    watched, page = open_drop_off(visit, site, size="hall")
    keys = Keys(page)
    page.keyboard.type("Quill Harrow", delay=HAND)
    keys.press("Enter")
    expect(page.get_by_label("Frame", exact=True)).to_be_focused()
    keys.press("M", "e", "Tab", "4", "Enter")
    expect(page.locator("[data-take]:checked")).to_have_count(4)
    expect(page.locator("[data-take]").first).to_be_focused()
    first = page.locator("[data-racquet]").first
    keys.step(1, "Tab")
    keys.step(1, "5")
    keys.step(1, "2")
    keys.step(1, "Tab")
    keys.step(1, "5")
    keys.step(1, "1")
    keys.step(1, "Tab")
    keys.step(1, "Space")
    keys.step(1, "Tab")
    expect(first.locator("select[name$=mains_string_id]")).to_be_focused()
    keys.step(1, "ArrowDown")
    keys.step(2, "Tab")
    keys.step(1, "l")
    expect(page.locator("#accept")).to_be_focused()
    keys.step(1, "f")
    expect(page.locator("#ready .hero")).to_be_visible()
    expect(page.locator("#ready.stale")).to_have_count(0)
    keys.step(1, "Enter")
    page.wait_for_url("**/drop-off/taken/*")
    assert keys.count <= MOST_FOR_NEW
    expect(page.get_by_text("52 / 51 lb")).to_have_count(4)
    watched.check()


def test_the_keys_of_a_screen_are_listed_and_none_other(visit: Callable, site: Site, axe: str) -> None:
    player_id = add_player(site, "Zora Quindle", racquets=2)
    watched, page = open_drop_off(visit, site, player_id, size="hall")
    expect(page.get_by_role("button", name="Keys")).to_be_visible()
    Keys(page).press("?")
    listed = page.get_by_role("dialog", name="Keys of this screen")
    expect(listed).to_be_visible()
    assert accessibility_faults(page, axe) == []
    pairs = dict(zip(listed.locator("dt").all_inner_texts(), listed.locator("dd").all_inner_texts(), strict=True))
    assert pairs == {
        "↑ ↓": "In a tension: half a unit more or less",
        "A": "All 2 as last time",
        "1": "Racquet 1: taken in or not",
        "2": "Racquet 2: taken in or not",
        "-": "½ less",
        "+": "½ more",
        "L": "All like the first",
        "F": pairs["F"],
        "O": "On court",
        "/": "Search",
        "?": "This list",
    }
    Keys(page).press("Escape")
    expect(listed).to_have_count(0)
    watched.check()
