"""The plan in a real browser: to scale on the large screen, a list on the phone, moved by keys and by drag."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from desk.models import Job
from tests.web.browser.conftest import Site

pytestmark = pytest.mark.browser


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
    watched = visit("lead", size="hall")
    page = watched.page
    page.goto(site.to("/plan"))
    page.wait_for_selector(".plan.to-scale")
    first = page.locator('.plan-row:first-of-type .plan-block[draggable="true"] a').first
    job_id = int(page.locator('.plan-row:first-of-type .plan-block[draggable="true"]').first.get_attribute("data-job"))
    first.focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    page.wait_for_selector("text=Price")
    assert page.locator("h2", has_text="Rui Castanheira").count() == 1
    page.wait_for_load_state()
    page.keyboard.press("k")
    page.wait_for_url("**/plan")
    with site.database.reading() as session:
        assert session.get_one(Job, job_id).pinned_stringer_id == site.scene.stringers[1].id
    watched.check()


def test_a_racquet_is_dragged_onto_another_row(visit: Callable, site: Site) -> None:
    watched = visit("lead", size="hall")
    page = watched.page
    page.goto(site.to("/plan"))
    page.wait_for_selector(".plan.to-scale")
    block = page.locator('.plan-row:first-of-type .plan-block[draggable="true"]').first
    block.drag_to(page.locator(".plan-lane").nth(2), target_position={"x": 600, "y": 20})
    page.wait_for_selector("text=Price")
    assert page.locator("h2", has_text="Mette Aabel").count() == 1
    assert "start=" in page.url
    watched.check()


def test_the_phone_shows_a_list(visit: Callable, site: Site) -> None:
    watched = visit("lead", size="phone")
    watched.page.goto(site.to("/plan"))
    assert watched.page.locator(".plan.to-scale").count() == 0
    assert watched.page.locator(".plan-when").first.is_visible()
    watched.check()
