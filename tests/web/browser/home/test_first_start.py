"""From empty records to a running desk, by hand, on a large screen and on a phone."""

import re
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Browser, Page, expect

from desk.models import Event, Job
from desk.services.plan.planning import Effort, plan_event
from desk.services.team import account_links
from desk.trade.event.event_time import utc_now
from tests.web.browser.conftest import SIZES, watch
from tests.web.browser.home.touches import count_touches, touches_of
from tests.web.browser.screens import wider_than_screen
from tests.web.browser.served import Site
from tests.web.browser.waits import each

pytestmark = pytest.mark.browser

# Five minutes at five seconds a touch or field (common practice): what a first start may ask for.
MOST_TOUCHES = 60


def set_up(page: Page, site: Site) -> None:
    """The event and its lead."""
    with site.database.writing() as session:
        link = account_links.make_lead(session, "Mara Ostrel", now=utc_now())
    page.goto(site.to(f"/welcome/{link.token}"))
    page.get_by_label("Your new password").fill("three plain words")
    page.get_by_role("button", name="Open the desk").click()
    page.get_by_label("Event", exact=True).fill("Harbour Week")
    page.get_by_label("First day").fill(f"{datetime.now(UTC):%Y-%m-%d}")
    page.get_by_label("Number of days").fill("3")
    page.get_by_label("Desk opens").fill("00:00")
    page.get_by_label("Desk closes").fill("24:00")
    expect(page.get_by_label("Time zone")).to_have_value("UTC")
    page.get_by_label("Currency").fill("EUR")
    page.get_by_role("button", name="Add the event").click()
    expect(page.get_by_role("heading", name="To a running desk")).to_be_visible()


def next_step(page: Page, site: Site, word: str) -> None:
    if not page.url.endswith("/now"):
        page.goto(site.to("/now"))
    page.get_by_role("link", name=re.compile(f"^Next.*{word}")).click()


def equip(page: Page, site: Site) -> None:
    """A machine that is calibrated, a stringer, a string with a reel, a court."""
    next_step(page, site, "Machines")
    page.get_by_label("Name, as it stands on the bench").fill("Bench 1")
    page.get_by_role("button", name="Add the machine").click()
    page.get_by_role("link", name=re.compile("^Calibrate.*Bench 1")).click()
    page.get_by_label("kilos").check()
    for label, figure in (("First tension set", "20"), ("Second tension set", "25")):
        page.get_by_label(label).fill(figure)
    for field, figure in zip(each(page.get_by_label("Gauge then read"), 2), ("20.1", "25"), strict=True):
        field.fill(figure)
    page.get_by_role("button", name="Keep the readings").click()
    expect(page.locator(".said")).to_contain_text("Within the tolerance")
    next_step(page, site, "Team")
    page.get_by_label("Name", exact=True).fill("Bo Karrel")
    page.get_by_label("Home machine").select_option("Bench 1")
    page.get_by_label("Hours on every day").fill("00:00-24:00")
    page.get_by_role("button", name="Add", exact=True).click()
    next_step(page, site, "String")
    page.get_by_label("Maker and model").fill("Corvel Talus")
    page.get_by_label("Material").select_option("polyester")
    page.get_by_role("button", name="Add the string").click()
    page.get_by_role("button", name="Take in", exact=True).click()
    expect(page.locator(".lines")).to_contain_text("Corvel Talus")
    page.goto(site.to("/now"))
    expect(page.get_by_role("link", name=re.compile("^Next.*First drop-off"))).to_be_visible()
    page.locator(".steps").get_by_role("link", name="Order of play").click()
    page.get_by_label("Name of the court").fill("Court 1")
    page.get_by_role("button", name="Add the court").click()
    expect(page.locator(".court")).to_contain_text("Court 1")


def take_in(page: Page, site: Site) -> None:
    """The first racquet of a player whom nobody knows yet."""
    page.goto(site.to("/drop-off"))
    page.get_by_label("Who hands in?").fill("Ilka Torvane")
    page.get_by_role("button", name="Add “Ilka Torvane” as a new player").click()
    page.get_by_text("The frame is not on the list").click()
    page.get_by_label("Frame, if it is not on the list").fill("Ostrel Drift 98")
    page.get_by_label("Mains", exact=True).fill("16")
    page.get_by_label("Crosses", exact=True).fill("19")
    page.get_by_role("button", name="Add", exact=True).click()
    page.get_by_role("combobox", name="Mains").select_option(label="Corvel Talus")
    page.get_by_role("textbox", name="Mains", exact=True).fill("24")
    page.get_by_label("kilos").check()
    expect(page.locator("#ready .time")).to_be_visible()
    page.get_by_role("button", name="Accept").click()
    page.wait_for_url("**/drop-off/taken/*")
    expect(page.locator(".visit-done .time.hero")).to_be_visible()


@pytest.mark.parametrize("size", ["hall", "phone"])
def test_a_first_start_leads_from_nothing_to_a_planned_racquet(browser: Browser, new_site: Site, size: str) -> None:
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height}, timezone_id="UTC")
    context.set_default_timeout(10_000)
    watched = watch(context)
    page = watched.page
    count_touches(page)
    set_up(page, new_site)
    assert wider_than_screen(page) == 0
    equip(page, new_site)
    take_in(page, new_site)
    touches = touches_of(page)
    with new_site.database.reading() as session:
        event_id, code = session.query(Event.id).scalar(), session.query(Job.code).scalar()
    plan_event(new_site.database, event_id, at=utc_now(), effort=Effort(seconds=0.5))
    page.goto(new_site.to("/plan"))
    expect(page.locator(".plan-block")).to_have_count(1)
    page.goto(new_site.to("/now"))
    expect(page.get_by_role("heading", name="To a running desk")).to_have_count(0)
    page.goto(new_site.to(f"/tag/{code}"))
    expect(page.locator("main")).to_contain_text("Promised")
    print(f"\n{size}: {touches} touches and fields")
    assert touches <= MOST_TOUCHES
    watched.check()
    context.close()
