"""A racquet from the court in a real browser: three touches or three keys."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Route, expect
from sqlalchemy import select

from desk.models import Event, Match, Player
from tests import make
from tests.web.browser.counter.counter_keys import Keys, add_player, jobs_of
from tests.web.browser.served import Site

pytestmark = pytest.mark.browser


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


def test_what_is_touched_while_the_page_still_comes_in_is_asked_for(visit: Callable, site: Site) -> None:
    on_court_now(site)
    watched, late = visit("desk", size="phone"), []
    page = watched.page

    def hold(route: Route) -> None:
        late.append(route)

    page.route("**/counter.js*", hold)
    page.goto(site.to("/on-court"), wait_until="commit")
    page.locator("label.court-racquet").first.click()
    late[0].continue_()
    expect(page.locator(".court-ready time")).to_be_visible()
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
