"""At the counter, in a real browser: a scan wherever the cursor is, and a hand-over."""

from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from tests.web.browser.served import Site

pytestmark = pytest.mark.browser


def test_a_scan_opens_the_tag_wherever_the_cursor_is(visit: Callable, site: Site) -> None:
    watched = visit("desk")
    page, job = watched.page, site.scene.in_state("waiting")[0]
    page.goto(site.to("/log"))
    page.get_by_role("textbox").first.click()
    page.keyboard.type("by hand", delay=90)
    page.keyboard.type(job.code, delay=3)
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/tag/{job.code}")
    expect(page.get_by_text(job.code).first).to_be_visible()
    watched.check()


def test_what_is_typed_by_hand_is_no_scan(visit: Callable, site: Site) -> None:
    page = visit("desk").page
    page.goto(site.to("/log"))
    page.get_by_role("textbox").first.click()
    page.keyboard.type("split", delay=70)
    page.keyboard.press("Enter")
    page.wait_for_url("**/log?q=split*")


def test_a_figure_typed_fast_in_a_field_for_figures_is_no_scan(visit: Callable, site: Site) -> None:
    page = visit("desk").page
    page.goto(site.to("/calibration"))
    cells = page.locator('input[data-column="1"]')
    expect(cells.first).to_be_focused()
    page.keyboard.type("20,1", delay=3)
    page.keyboard.press("Enter")
    expect(cells.first).to_have_value("20,1")
    expect(page).to_have_url(site.to("/calibration"))


def test_two_racquets_are_handed_over_and_taken_back(visit: Callable, site: Site) -> None:
    watched = visit("desk", size="phone")
    page, job = watched.page, site.scene.in_state("strung")[0]
    page.goto(site.to("/pickup"))
    page.get_by_role("textbox").fill(job.code)
    page.get_by_role("button", name="Find").click()
    page.get_by_label("Bo Arnqvist").check()
    page.get_by_label("Paid by card").check()
    page.get_by_role("button", name="Hand over").click()
    expect(page.get_by_text("Handed over to Bo Arnqvist")).to_be_visible()
    page.wait_for_load_state("load")
    page.get_by_role("button", name="Take back").click()
    page.get_by_role("dialog").get_by_role("button", name="Take back").click()
    expect(page.get_by_text("The hand-over is taken back")).to_be_visible()
    watched.check()


def test_the_menu_opens_on_a_phone(visit: Callable, site: Site) -> None:
    watched = visit("lead", size="phone")
    page = watched.page
    page.goto(site.to("/pickup"))
    page.get_by_role("link", name="Menu").click()
    page.get_by_role("link", name="Log", exact=True).click()
    page.wait_for_url("**/log")
    watched.check()


def test_a_stringer_signs_in_by_pin_after_the_lead_trusted_the_device(visit: Callable, site: Site) -> None:
    from desk.services.team.accounts import set_pin
    from tests import make

    stringer = site.scene.stringers[3]
    with site.database.writing() as session:
        set_pin(session, site.scene.event.id, stringer.id, "4711", acting=make.acting())
    watched = visit("lead")
    page = watched.page
    page.goto(site.to("/trust-device"))
    page.get_by_label("Name of this device").fill("tablet at bench 4")
    page.get_by_role("button", name="Trust this device").click()
    page.get_by_label(stringer.name).check()
    page.get_by_label("PIN").fill("4711")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"**/bench/{stringer.id}")
    watched.check()
