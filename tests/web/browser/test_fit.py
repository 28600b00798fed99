"""The fullest screens in a wide and in a narrow font, at every size: all letters where they belong."""

import pytest
from playwright.sync_api import Browser, expect

from tests.web.browser.conftest import visits
from tests.web.browser.fit import NARROW, WIDE, WINDOWS, fit_faults, set_font
from tests.web.browser.screens import SCREENS, walk
from tests.web.browser.served import Site

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.usefixtures("fonts")]

LARGE = ((3840, 2160), (1080, 1920))
FULL = ("plan", "hall-board", "pickup", "home", "runner", "benches", "store", "team", "machines", "calibration")


def test_a_full_house_fits_in_both_fonts(browser: Browser, full_site: Site) -> None:
    found: dict[str, list[str]] = {}
    with visits(browser, full_site) as visit:
        screens = tuple(screen for screen in SCREENS if screen.name in FULL)
        for screen, page in walk(visit, full_site, screens):
            found |= fit_faults(page, screen.name, (*WINDOWS, *LARGE))
    assert found == {}


@pytest.mark.parametrize(("width", "height"), [(1920, 1080), (1080, 1920), (3840, 2160)])
def test_the_hall_board_shows_whole_lines_only(browser: Browser, full_site: Site, width: int, height: int) -> None:
    with visits(browser, full_site) as visit:
        page = visit(size="hall").page
        page.set_viewport_size({"width": width, "height": height})
        page.goto(full_site.to(f"/board/{full_site.scene.event.slug}"))
        for font in (WIDE, NARROW):
            set_font(page, font)
            cut = page.evaluate(
                "() => [...document.querySelectorAll('[data-pages]')].map(list => "
                "[list.clientHeight % list.firstElementChild.offsetHeight, list.getBoundingClientRect().bottom])"
            )
            assert all(rest <= 1 and bottom <= height for rest, bottom in cut), (font, cut)


def test_twenty_four_stringers_stand_on_one_screen(browser: Browser, full_site: Site) -> None:
    with visits(browser, full_site) as visit:
        page = visit("lead", size="hall").page
        page.goto(full_site.to("/plan"))
        expect(page.locator(".plan-row")).to_have_count(24)
        for font in (WIDE, NARROW):
            set_font(page, font)
            page.evaluate("dispatchEvent(new Event('resize'))")
            bottom = page.locator(".plan-row").last.evaluate("row => row.getBoundingClientRect().bottom + scrollY")
            assert bottom <= 1080, font
