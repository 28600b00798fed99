"""What must be watched during the day, in a real browser: string, machines, sisters, and what a redo costs."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from desk.models import Job, Player, Stringer
from desk.services.bench.jobs import BENCH_CHECKS
from tests.web.browser.conftest import site_of
from tests.web.browser.served import Site
from tests.web.browser.watched_desk import Watched, drop_off, fill, string_one

pytestmark = pytest.mark.browser
POLY = "Tarn Poly 1.25 slate"


# The small desk of `watched_desk` instead of the usual day.
site = site_of(fill)


@pytest.fixture
def desk(site: Site) -> Watched:
    return Watched(site.database, site.scene.event.id)


def taken_in(site: Site, desk: Watched, numbers: tuple[int, ...]) -> list[Job]:
    """Take racquets of the first player in, and plan."""
    with site.database.writing() as session:
        taken = drop_off(session, session.get_one(Player, site.scene.players[0].id), numbers)
    desk.plan()
    return taken


def strung(site: Site, job: Job, *, stiffness: float) -> None:
    with site.database.writing() as session:
        stringer = session.get_one(Stringer, site.scene.stringers[0].id)
        string_one(session, session.get_one(Job, job.id), stringer, start="Mon 13:00", stiffness=stiffness)


def ask_for(page: Page, site: Site, *, player: int, string: str) -> None:
    """Fill in the first racquet of a player's drop-off."""
    page.goto(site.to(f"/drop-off/{site.scene.players[player].id}"))
    racquet = page.locator("[data-racquet]").first
    racquet.locator("[data-take]").check()
    racquet.locator("[name$=mains_string_id]").select_option(label=string)
    racquet.locator("[name$=mains_tension]").fill("52.5")
    racquet.locator("[name$=unit][value=lb]").check()


def finish(page: Page, stiffness: str) -> None:
    for text in BENCH_CHECKS.values():
        page.get_by_label(text).check()
    page.get_by_label("Stiffness").fill(stiffness)
    page.get_by_role("button", name="Finish").click()


def test_a_reel_that_runs_out_at_three_holds_the_next_racquet_and_says_so_at_drop_off(
    visit: Callable, site: Site, desk: Watched
) -> None:
    last = taken_in(site, desk, (1, 2, 3, 4))[-1]
    watched = visit("lead")
    page = watched.page
    page.goto(site.to("/store"))
    expect(page.locator(".lines li", has_text="POLY-1")).to_contain_text(f"runs out at 15:00, with {last.code}")
    ask_for(page, site, player=1, string="Fell Gut 1.30")
    expect(page.locator("#ready")).to_contain_text("Ready by")
    ask_for(page, site, player=1, string=POLY)
    expect(page.locator("#ready")).to_contain_text(f"String is missing: the mains need 5.86 m of {POLY}")
    page.get_by_label("Sound").check()
    page.get_by_role("button", name="Accept").click()
    page.wait_for_url("**/drop-off/taken/*")
    held = desk.jobs()[-1]
    assert [job.state for job in desk.jobs()] == ["waiting"] * 4 + ["held"]
    page.goto(site.to("/now"))
    expect(page.locator(".needs-held")).to_contain_text(f"{held.code} Racquet 1: String is missing")
    page.goto(site.to("/store"))
    page.locator("summary", has_text="Take in reels or sets").click()
    page.get_by_label("String", exact=True).select_option(label=POLY)
    page.get_by_role("button", name="Take in", exact=True).click()
    expect(page.locator("main")).to_contain_text(f"{held.code} of Kimo Ballestre goes on, ready by ")
    assert desk.jobs()[-1].state == "waiting"
    watched.check()


def test_a_machine_that_fails_calibration_empties_its_row(visit: Callable, site: Site, desk: Watched) -> None:
    taken_in(site, desk, (1, 2, 3))
    first, second = site.scene.machines
    assert (desk.row(first.id), desk.row(second.id)) == (3, 0)
    watched = visit("lead", size="hall")
    page = watched.page
    page.goto(site.to(f"/machines/{first.id}"))
    page.get_by_label("kilos").check()
    for field, figure in (("reference_1", "20"), ("reading_1", "20.1"), ("reference_2", "25"), ("reading_2", "26.2")):
        page.locator(f"#calibrate [name={field}]").fill(figure)
    page.get_by_role("button", name="Keep the readings").click()
    why = "Set to 25 kg it pulled 26.2 kg: more than 0.5 lb off. Put it right and calibrate again."
    expect(page.locator(".office-word")).to_have_text(why)
    expect(page.locator(".trend .trend-out")).to_have_count(1)
    desk.plan()
    assert (desk.row(first.id), desk.row(second.id)) == (0, 3)
    page.goto(site.to("/plan"))
    expect(page.locator(".plan-block:visible", has_text="Bench 2")).to_have_count(3)
    page.goto(site.to("/now"))
    expect(page.locator(".needs-machine")).to_contain_text(why)
    watched.check()


def test_sisters_two_units_apart_are_stopped_at_the_bench_and_shown_before_they_leave(
    visit: Callable, site: Site, desk: Watched
) -> None:
    sister, job = taken_in(site, desk, (1, 2))
    strung(site, sister, stiffness=40.0)
    desk.plan()
    page = visit("lead").page
    page.goto(site.to(f"/bench/{site.scene.stringers[0].id}"))
    page.get_by_role("button", name="Start").click()
    expect(page.get_by_text(f"within 1 of its sisters: {sister.code} 40.")).to_be_visible()
    finish(page, "42")
    refused = f"{job.code} differs from {sister.code} by more than 1 in stiffness"
    expect(page.get_by_role("alert")).to_contain_text(refused)
    assert desk.jobs()[1].state == "on_machine"
    page.get_by_label("It differs from its sisters; it leaves all the same").check()
    page.get_by_role("button", name="Finish").click()
    expect(page.get_by_role("button", name="Take back")).to_contain_text("strung")
    assert (desk.jobs()[1].state, desk.jobs()[1].stiffness) == ("strung", 42.0)
    page.goto(site.to(f"/pickup/{site.scene.players[0].id}"))
    expect(page.locator(".caution")).to_contain_text(f"{job.code} (racquet 2, 42.0) differ by 2.0")


def test_a_redo_costs_nothing(visit: Callable, site: Site, desk: Watched) -> None:
    (first,) = taken_in(site, desk, (1,))
    strung(site, first, stiffness=40.0)
    watched = visit("lead")
    page, player = watched.page, site.scene.players[0].id
    page.goto(site.to(f"/tag/{first.code}"))
    page.locator("#act summary").click()
    page.get_by_label("Why").fill("a cross was missed")
    page.get_by_role("button", name="Do it").click()
    expect(page.locator(".job-state")).to_contain_text("to be strung again")
    desk.plan()
    page.goto(site.to(f"/bench/{site.scene.stringers[0].id}"))
    page.get_by_role("button", name="Start").click()
    finish(page, "40")
    expect(page.get_by_role("button", name="Take back")).to_contain_text("strung")
    page.goto(site.to(f"/players/{player}/account"))
    again = desk.jobs()[-1]
    assert (again.redo_of_id, again.state) == (first.id, "strung")
    expect(page.locator("main")).to_contain_text("35.00")
    expect(page.locator("main")).not_to_contain_text(again.code)
    watched.check()
