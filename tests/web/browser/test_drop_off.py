"""At the counter in a real browser: four racquets by keyboard alone, a new player, a racquet from the court."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

import pytest
from playwright.sync_api import Page, expect
from sqlalchemy import select

from desk.models import Event, Frame, Job, Match, Player, StringType
from tests import make
from tests.web.browser.conftest import Site, accessibility_faults
from tests.web.browser.screens import wider_than_screen

pytestmark = pytest.mark.browser
FEWEST = 8
MOST_FOR_NEW = 24
HAND = 60  # ms between two keys, as a person types; a scanner is quicker


@dataclass
class Keys:
    """A keyboard that counts."""

    page: Page
    count: int = 0

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)
            self.count += 1

    def step(self, times: int, key: str) -> None:
        for _ in range(times):
            self.press(key)
            self.page.wait_for_timeout(HAND)


def add_player(site: Site, name: str, *, racquets: int, strung: bool = True) -> int:
    """Add a player with racquets; strung ones have a hybrid card to repeat."""
    with site.database.writing() as session:
        event = session.get_one(Event, site.scene.event.id)
        event.calibration_required = False
        player = make.make_player(session, event, name=name, search_name=name.lower())
        mains, crosses = session.scalars(select(StringType).order_by(StringType.id).limit(2))
        frame = session.scalars(select(Frame).order_by(Frame.id)).first()
        for number in range(1, racquets + 1):
            racquet = make.make_racquet(session, player, frame=frame, number=number)
            card = {"mains_string_id": mains.id, "crosses_string_id": crosses.id, "mains_tension": Decimal("52.5")}
            if strung:
                make.make_job(session, player, racquet=racquet, state="handed_over", card=card)
        event.revision += 1
        return player.id


def without_calibration(site: Site) -> None:
    with site.database.writing() as session:
        session.get_one(Event, site.scene.event.id).calibration_required = False


def jobs_of(site: Site, player_id: int) -> list[Job]:
    with site.database.reading() as session:
        found = select(Job).where(Job.player_id == player_id, Job.state == "waiting").order_by(Job.id)
        jobs = session.scalars(found).all()
        for job in jobs:
            _ = job.card, job.drop_off, job.promises
        return list(jobs)


def test_four_racquets_as_last_time_take_at_most_eight_keys_after_the_name(visit: Callable, site: Site) -> None:
    player_id = add_player(site, "Zora Quindle", racquets=4)
    watched = visit("desk")
    page = watched.page
    page.goto(site.to("/drop-off"))
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
    watched = visit("desk")
    page, keys = watched.page, Keys(watched.page)
    page.goto(site.to(f"/drop-off/{player_id}"))
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
    watched = visit("desk")
    page = watched.page
    page.goto(site.to(f"/drop-off/{player_id}"))
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
    watched = visit("desk")
    page = watched.page
    page.goto(site.to("/drop-off"))
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
    watched = visit("desk")
    page = watched.page
    page.goto(site.to("/drop-off"))
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
    watched = visit("desk", size="hall")
    page, keys = watched.page, Keys(watched.page)
    page.goto(site.to("/drop-off"))
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
    watched = visit("desk", size="hall")
    page = watched.page
    page.goto(site.to(f"/drop-off/{player_id}"))
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
    watched = visit("desk")
    page = watched.page
    page.goto(site.to(f"/drop-off/{player_id}?take=all"))
    page.get_by_text("A racquet that is not on the list").click()
    page.get_by_label("Frame", exact=True).select_option(index=1)
    page.get_by_label("How many").press("Enter")
    expect(page.locator("[data-take]:checked")).to_have_count(2)
    expect(page.locator("[data-take]").nth(1)).to_be_focused()
    assert jobs_of(site, player_id) == []
    watched.check()


def test_a_player_who_does_not_know_gets_a_proposal_and_nothing_is_filled_in(visit: Callable, site: Site) -> None:
    player_id = add_player(site, "Quill Harrow", racquets=1, strung=False)
    watched = visit("desk", size="phone")
    page = watched.page
    page.goto(site.to(f"/drop-off/{player_id}"))
    page.locator("[data-take]").check()
    page.get_by_text("The player does not know what to ask for").click()
    expect(page.locator(".propose dl")).to_contain_text("52.5 lb")
    expect(page.locator(".propose")).to_contain_text("middle of the range")
    assert [field.input_value() for field in page.locator(".tension-input").all()] == ["", ""]
    assert page.locator(".unit-in :checked").count() == 0
    watched.check()


def test_a_visit_is_taken_back_at_the_counter(visit: Callable, site: Site) -> None:
    player_id = add_player(site, "Zora Quindle", racquets=1)
    watched = visit("desk", size="phone")
    page = watched.page
    page.goto(site.to(f"/drop-off/{player_id}?take=all"))
    page.get_by_role("button", name="Accept").click()
    page.get_by_role("button", name="Take this drop-off back").click()
    expect(page.get_by_text("The drop-off of Zora Quindle is taken back")).to_be_visible()
    assert jobs_of(site, player_id) == []
    watched.check()


def on_court_now(site: Site, *, alone: bool = False) -> int:
    """Put a new player with two racquets on a court; ALONE: nobody else is there."""
    player_id = add_player(site, "Zora Quindle", racquets=2)
    with site.database.writing() as session:
        event = session.get_one(Event, site.scene.event.id)
        players = [session.get_one(Player, player_id), None]
        court = make.make_court(session, event, name="Court 2")
        for match in session.scalars(select(Match).where(Match.state == "on_court")) if alone else ():
            match.state = "scheduled"
        started = {"state": "on_court", "started_at": make.moment("Mon 12:05")}
        make.make_match(session, court, day=event.days[0], players=players, start="at 12:00", **started)
    return player_id


def test_a_racquet_from_the_court_takes_three_touches_from_any_screen(visit: Callable, site: Site) -> None:
    player_id = on_court_now(site)
    watched = visit("desk", size="phone")
    page = watched.page
    page.goto(site.to("/pickup"))
    page.get_by_role("link", name="On court").click()
    page.locator("label.court-racquet").first.click()
    expect(page.locator(".court-ready time")).to_be_visible()
    page.get_by_role("button", name="Go").click()
    page.wait_for_url("**/drop-off/taken/*")
    assert [(job.on_court, job.weight) for job in jobs_of(site, player_id)] == [(True, 20)]
    watched.check()


def test_a_racquet_from_the_court_takes_three_keys_from_any_screen(visit: Callable, site: Site) -> None:
    player_id = on_court_now(site, alone=True)
    watched = visit("desk", size="hall")
    page, keys = watched.page, Keys(watched.page)
    page.goto(site.to("/now"))
    keys.press("o")
    page.wait_for_url("**/on-court")
    expect(page.locator(".court-racquet input").first).to_be_focused()
    keys.press("Space")
    expect(page.locator(".court-ready time")).to_be_visible()
    keys.press("Enter")
    page.wait_for_url("**/drop-off/taken/*")
    assert (keys.count, [job.on_court for job in jobs_of(site, player_id)]) == (3, [True])
    watched.check()


def test_on_a_phone_the_bar_is_low_until_its_place_and_covers_nothing_in_use(visit: Callable, site: Site) -> None:
    player_id = add_player(site, "Quon Adair", racquets=3)
    without_calibration(site)
    watched = visit("desk", size="phone")
    page = watched.page
    page.goto(site.to(f"/drop-off/{player_id}?take=all"))
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
    assert page.locator(".ready-where").is_visible()
    assert not page.locator("kbd:visible").count()
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
