"""What if in a real browser: a stringer leaves at 15:00; the answer stands beside the plan, and is kept when said."""

from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from desk.models import Event, Stringer
from tests import make
from tests.web.browser.served import Site
from tests.web.scenes import scene

pytestmark = pytest.mark.browser


def kept(site: Site) -> tuple[list, int]:
    """The stringer's absences, and the number of the last change to the event."""
    with site.database.reading() as session:
        absences = session.get_one(Stringer, site.scene.stringers[1].id).absences
        return [(one.from_at, one.to_at) for one in absences], session.get_one(Event, site.scene.event.id).change_number


def test_a_stringer_who_would_leave_is_planned_beside_today_and_kept_only_when_said(
    visit: Callable, site: Site
) -> None:
    with site.database.writing() as session:
        scene.calibrate(session, site.scene.machines)
    watched, before = visit("lead", size="hall"), kept(site)
    page = watched.page
    page.goto(site.to("/plan/what-if"))
    page.get_by_label("A stringer leaves").check()
    page.get_by_label("Who").select_option(label="Rui Castanheira")
    page.get_by_label("From when").fill("15:00")
    page.get_by_role("button", name="Try it beside").click()
    expect(page.get_by_role("heading", name="Rui Castanheira leaves at 15:00.")).to_be_visible()
    form, answer = page.locator("form.what-if").bounding_box(), page.locator(".columns > section").bounding_box()
    assert form["x"] + form["width"] <= answer["x"]
    said = page.locator(".columns > section").inner_text()
    assert "Changes the stringer" in said and "with Dov Lindauer" in said and "points" not in said
    assert kept(site) == before
    page.get_by_role("button", name="Keep it so").click()
    page.wait_for_url("**/plan")
    expect(page.get_by_text("Kept: Rui Castanheira leaves at 15:00.")).to_be_visible()
    assert kept(site) == ([(make.moment("Mon 15:00"), None)], before[1] + 1)
    watched.check()
