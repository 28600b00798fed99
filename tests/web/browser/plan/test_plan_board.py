"""The plan in a real browser: to scale on the large screen, a list on the phone, moved by keys and by drag."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, Page, expect
from sqlalchemy import select

from desk.models import Job
from tests.web.browser.conftest import Watched
from tests.web.browser.served import Site

pytestmark = pytest.mark.browser


class Finger:
    """One finger, as the browser gets it from a screen."""

    def __init__(self, page: Page) -> None:
        self.session = page.context.new_cdp_session(page)

    def down(self, x: float, y: float) -> None:
        self._send("touchStart", {"x": x, "y": y})

    def to(self, x: float, y: float) -> None:
        self._send("touchMove", {"x": x, "y": y})

    def up(self) -> None:
        self._send("touchEnd")

    def _send(self, kind: str, *points: dict[str, float]) -> None:
        self.session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})


def open_plan(visit: Callable, site: Site, *, size: str = "hall") -> Watched:
    """Open the plan to scale, as the lead."""
    watched = visit("lead", size=size)
    watched.page.goto(site.to("/plan"))
    watched.page.wait_for_selector(".plan.to-scale")
    return watched


def neighbours(page: Page) -> list[Locator]:
    """Return the first two racquets that may be moved and stand beside each other."""
    movable = ".plan-block[data-moves]"
    row = page.locator(".plan-row", has=page.locator(f"{movable} + {movable}")).first
    return row.locator(movable).all()[:2]


def test_blocks_are_to_scale_and_in_their_row(visit: Callable, site: Site) -> None:
    watched = visit("lead", size="hall")
    page = watched.page
    page.goto(site.to("/plan"))
    page.wait_for_selector(".plan.to-scale .plan-now")
    blocks = page.locator(".plan-block:visible")
    measured = blocks.evaluate_all(
        "all => all.map(b => [b.dataset.end - b.dataset.start, b.getBoundingClientRect().width])"
    )
    scales = {round(width / minutes, 2) for minutes, width in measured}
    assert max(scales) - min(scales) < 0.05
    watched.check()


def test_a_racquet_is_moved_with_the_keys_and_its_price_is_shown_first(visit: Callable, site: Site) -> None:
    watched = open_plan(visit, site)
    page = watched.page
    first = page.locator(".plan-row:first-of-type .plan-block[data-moves] a").first
    job_id = int(page.locator(".plan-row:first-of-type .plan-block[data-moves]").first.get_attribute("data-job"))
    first.focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    page.wait_for_selector(".before-after")
    expect(page.locator("h2", has_text="Rui Castanheira")).to_have_count(1)
    page.wait_for_load_state()
    page.keyboard.press("k")
    page.wait_for_url("**/plan")
    with site.database.reading() as session:
        assert session.get_one(Job, job_id).pinned_stringer_id == site.scene.stringers[1].id
    watched.check()


def test_a_racquet_is_dragged_onto_another_row(visit: Callable, site: Site) -> None:
    watched = open_plan(visit, site)
    page = watched.page
    block = page.locator(".plan-row:first-of-type .plan-block[data-moves]").first
    bench = site.scene.machines[2]
    # No machine of this day was read; the row is to name one.
    page.locator(".plan-row").nth(2).evaluate("(row, machine) => { row.dataset.machine = machine; }", bench.id)
    block.drag_to(page.locator(".plan-lane").nth(2), target_position={"x": 600, "y": 20})
    page.wait_for_selector("h2:has-text('With')")
    assert f"machine_id={bench.id}" in page.url
    expect(page.locator("h2", has_text=f"With Mette Aabel on {bench.name}")).to_have_count(1)
    assert "start=" in page.url or "after_id=" in page.url
    watched.check()


def test_a_racquet_is_moved_by_four_keys(visit: Callable, site: Site) -> None:
    watched = open_plan(visit, site)
    page = watched.page
    for key in ("m", "ArrowUp", "Enter"):
        page.keyboard.press(key)
    page.wait_for_selector(".before-after")
    page.wait_for_load_state()
    page.keyboard.press("k")
    page.wait_for_url("**/plan")
    with site.database.reading() as session:
        pinned = session.scalars(select(Job.pinned_stringer_id).where(Job.pinned_stringer_id.is_not(None))).all()
    assert len(pinned) == 1
    watched.check()


def test_a_racquet_gets_another_place_at_its_bench_by_five_keys(visit: Callable, site: Site) -> None:
    watched = open_plan(visit, site)
    page = watched.page
    ahead, moved = neighbours(page)
    code, job_id = ahead.get_attribute("data-code"), int(moved.get_attribute("data-job"))
    moved.locator("a").focus()
    page.keyboard.press("ArrowLeft")
    assert "next" in page.locator("[data-plan-said]").inner_text()
    page.keyboard.press("ArrowRight")
    assert f"after {code}" in page.locator("[data-plan-said]").inner_text()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Enter")
    page.wait_for_selector(".before-after")
    assert page.locator("#after_id").input_value() == "0"
    page.wait_for_load_state()
    page.keyboard.press("k")
    page.wait_for_url("**/plan")
    with site.database.reading() as session:
        assert session.get_one(Job, job_id).kept_place["is_next"]
    watched.check()


def test_a_racquet_is_dragged_between_two_others(visit: Callable, site: Site) -> None:
    watched = open_plan(visit, site)
    page = watched.page
    first, second = neighbours(page)
    job_id = second.get_attribute("data-job")
    box = first.bounding_box()
    second.drag_to(first, target_position={"x": 3, "y": box["height"] / 2})
    page.wait_for_selector(".before-after")
    assert page.url.endswith("after_id=0") and f"/{job_id}?" in page.url
    watched.check()


@pytest.mark.parametrize("size", ["tablet", "phone"])
def test_a_racquet_is_held_and_dragged_by_a_finger(visit: Callable, site: Site, size: str) -> None:
    watched = visit("lead", size=size)
    page = watched.page
    page.goto(site.to("/plan"))
    page.wait_for_selector(".plan.to-scale" if size == "tablet" else ".plan-when")
    block = page.locator(".plan-block[data-moves]").last
    block.scroll_into_view_if_needed()
    box = block.bounding_box()
    finger = Finger(page)
    finger.down(box["x"] + 8, box["y"] + 8)
    page.wait_for_selector(".plan-carried")
    rows = page.locator(".plan-row")
    other = next(row for row in rows.all()[::-1] if row.locator(".is-lifted").count() == 0)
    to = other.bounding_box()
    for step in (0.5, 1):
        y = box["y"] + (to["y"] + 12 - box["y"]) * step
        finger.to(box["x"] + 20, y)
    page.wait_for_selector(".plan-row.is-target")
    name = page.locator(".plan-row.is-target").get_attribute("aria-label")
    assert name == other.get_attribute("aria-label") and name in page.locator(".plan-carried").inner_text()
    finger.up()
    page.wait_for_selector(".before-after")
    expect(page.locator("h2", has_text=name)).to_have_count(1)
    watched.check()


def test_a_finger_puts_a_racquet_before_another(visit: Callable, site: Site) -> None:
    watched = open_plan(visit, site, size="tablet")
    page = watched.page
    before, moved = (block.bounding_box() for block in neighbours(page))
    finger = Finger(page)
    finger.down(moved["x"] + 8, moved["y"] + 8)
    page.wait_for_selector(".plan-carried")
    finger.to(before["x"] + 3, before["y"] + 8)
    page.wait_for_selector(".is-gap-before")
    finger.up()
    page.wait_for_selector(".before-after")
    assert page.url.endswith("after_id=0")
    watched.check()


def test_a_finger_that_does_not_hold_moves_nothing(visit: Callable, site: Site) -> None:
    watched = open_plan(visit, site, size="tablet")
    page = watched.page
    box = page.locator(".plan-block[data-moves]").first.bounding_box()
    finger = Finger(page)
    finger.down(box["x"] + 8, box["y"] + 8)
    finger.to(box["x"] + 8, box["y"] - 60)
    page.wait_for_timeout(450)
    expect(page.locator(".plan-carried")).to_have_count(0)
    finger.up()
    assert page.url.endswith("/plan")
    watched.check()


def test_the_phone_shows_a_list(visit: Callable, site: Site) -> None:
    watched = visit("lead", size="phone")
    watched.page.goto(site.to("/plan"))
    expect(watched.page.locator(".plan-when").first).to_be_visible()
    expect(watched.page.locator(".plan.to-scale")).to_have_count(0)
    watched.check()
