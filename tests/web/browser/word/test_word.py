"""A phone asks for word and ends it, and the worker shows what it is told while no page of the desk is open.

Chromium runs without a push service here: what the service would give stands in its place, the worker is the real one.
"""

import json
from collections.abc import Callable

import pytest
from playwright.sync_api import Browser, Page, Worker, expect
from sqlalchemy import select

from desk.models import WordWay
from tests.services.word.phone import Phone
from tests.web.browser.conftest import visits
from tests.web.browser.served import Site

pytestmark = pytest.mark.browser
ENDPOINT = "https://push.example.org/send/browser"
SUBSCRIBES = """
const given = %s;
const made = () => ({ endpoint: given.endpoint, options: {}, toJSON: () => given, unsubscribe: async () => {} });
PushManager.prototype.getSubscription = async () => (localStorage.subscribed ? made() : null);
PushManager.prototype.subscribe = async (asked) => {
  if (!asked.userVisibleOnly || asked.applicationServerKey.length !== 65) throw new Error("asked wrongly");
  localStorage.subscribed = "yes";
  return made();
};
"""


@pytest.fixture(autouse=True)
def public(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DESK_PUBLIC_URL", "https://desk.example.org")


def opened(site: Site, visit: Callable, *, stub: bool = True) -> Page:
    page = visit(size="phone", permissions=["notifications"]).page
    if stub:
        page.add_init_script(SUBSCRIBES % json.dumps({"endpoint": ENDPOINT, "keys": Phone.new().keys}))
    page.goto(site.to(f"/p/{site.scene.players[6].token}?lang=en"))
    page.get_by_text("Tell me when one is ready").click()
    return page


def ways(site: Site) -> list[str]:
    with site.database.reading() as session:
        return list(session.scalars(select(WordWay.address).where(WordWay.address == ENDPOINT)))


def test_a_touch_asks_and_the_next_one_ends_it(site: Site, visit: Callable) -> None:
    page = opened(site, visit)
    button = page.locator("#phone")
    expect(button).to_have_text("Tell me on this phone")
    button.click()
    expect(button).to_have_text("This phone is told: touch to end it")
    expect(button).to_have_attribute("aria-pressed", "true")
    assert ways(site) == [ENDPOINT]
    page.reload()
    page.get_by_text("Tell me when one is ready").click()
    expect(button).to_have_text("This phone is told: touch to end it")
    button.click()
    expect(button).to_have_text("Tell me on this phone")
    assert ways(site) == []


def test_the_worker_shows_what_the_desk_tells_and_leads_to_the_page(site: Site, whole_browser: Browser) -> None:
    with visits(whole_browser, site) as visit:
        worker = phone_worker(site, visit)
        assert worker.url.endswith("/word-worker.js")
        assert shown_by(worker) == [["1 racquet is ready", "Racquet 1 (K4T2)", "/p/x?lang=en", "t"]]


def phone_worker(site: Site, visit: Callable) -> Worker:
    """Return the worker of a phone that is told."""
    page = opened(site, visit)
    page.locator("#phone").click()
    expect(page.locator("#phone")).to_have_attribute("aria-pressed", "true")
    workers = page.context.service_workers
    return workers[0] if workers else page.context.wait_for_event("serviceworker")


def shown_by(worker: Worker) -> list[list[str]]:
    """Return what a message of the desk shows."""
    told = {"title": "1 racquet is ready", "body": "Racquet 1 (K4T2)", "lang": "en", "url": "/p/x?lang=en", "tag": "t"}
    return worker.evaluate(
        """async (told) => {
          const waits = [];
          const event = new Event("push");
          event.data = { json: () => told };
          event.waitUntil = (work) => waits.push(work);
          self.dispatchEvent(event);
          await Promise.all(waits);
          const shown = await self.registration.getNotifications();
          return shown.map((one) => [one.title, one.body, one.data.url, one.tag]);
        }""",
        told,
    )


def test_where_the_address_is_not_https_the_page_offers_e_mail_and_confirms_it(
    site: Site, visit: Callable, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DESK_PUBLIC_URL", "http://desk.example.org")
    page = opened(site, visit)
    expect(page.locator("#phone")).to_have_count(0)
    page.get_by_label("E-mail address").fill("ilka@example.org")
    page.get_by_role("button", name="Tell me by e-mail").click()
    told = page.get_by_text("From now on you are told when a racquet is ready, changed or late.")
    expect(told).to_be_visible()
    page.get_by_role("button", name="End it").click()
    expect(page.get_by_text("You are told there no more.")).to_be_visible()


def test_a_browser_without_push_says_what_helps(site: Site, visit: Callable) -> None:
    page = visit(size="phone").page
    page.add_init_script("delete window.PushManager")
    page.goto(site.to(f"/p/{site.scene.players[6].token}?lang=en"))
    page.get_by_text("Tell me when one is ready").click()
    expect(page.locator("#phone-word")).to_contain_text("put this page on the home screen first")


def test_without_a_script_an_address_is_entered_and_ended(site: Site, visit: Callable) -> None:
    page = visit(size="phone", java_script_enabled=False).page
    page.goto(site.to(f"/p/{site.scene.players[6].token}?lang=en"))
    page.get_by_text("Tell me when one is ready").click()
    page.get_by_label("E-mail address").fill("ilka@example.org")
    page.get_by_role("button", name="Tell me by e-mail").click()
    expect(page.get_by_text("i…@example.org").first).to_be_visible()
    page.get_by_role("button", name="End it").click()
    expect(page.get_by_text("i…@example.org")).to_have_count(0)
