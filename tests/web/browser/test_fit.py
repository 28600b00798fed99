"""Every screen in a wide and in a narrow font, at every size: all letters where they belong."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Browser, Page

from tests.conftest import missing
from tests.web.browser.conftest import visits
from tests.web.browser.fit import NARROW, WIDE, has_font, misfits, set_font
from tests.web.browser.screens import SCREENS, walk
from tests.web.browser.served import Site

pytestmark = [pytest.mark.browser, pytest.mark.slow]

WINDOWS = ((1920, 1080), (1440, 900), (1024, 768), (768, 1024), (390, 844), (320, 640))
DOUBLED = ((1440, 900), (1024, 768), (768, 1024), (390, 844), (320, 640))
LARGE = ((3840, 2160), (1080, 1920))
FULL = ("plan", "hall-board", "pickup", "home", "runner", "benches", "store", "team", "machines", "calibration")
# Paper has sizes of its own: its tests measure it.
ON_SCREEN = tuple(screen for screen in SCREENS if not screen.name.startswith("print"))


def faults(
    page: Page, name: str, windows: tuple[tuple[int, int], ...], fonts: tuple[str, ...] = (WIDE, NARROW)
) -> dict[str, list[str]]:
    found = {}
    for font in fonts:
        set_font(page, font)
        for width, height in windows:
            page.set_viewport_size({"width": width, "height": height})
            if wrong := misfits(page):
                found[f"{name} in {font} at {width}"] = wrong
    return found


@pytest.fixture(autouse=True)
def fonts(request: pytest.FixtureRequest, browser: Browser) -> None:
    page = browser.new_page()
    lacking = [font for font in (WIDE, NARROW) if not has_font(page, font)]
    page.close()
    if lacking:
        missing(request.config, f"no font {' and no font '.join(lacking)} is installed")


def test_every_screen_fits_in_both_fonts_and_at_twice_the_text(visit: Callable, site: Site) -> None:
    """A browser may double its text (WCAG 2.2, 1.4.4 Resize Text: up to 200 per cent without loss of content)."""
    found: dict[str, list[str]] = {}
    for screen, page in walk(visit, site, ON_SCREEN):
        found |= faults(page, screen.name, WINDOWS)
        # The board in the hall sets its type by the height of its screen.
        if screen.name != "hall-board":
            page.evaluate("document.documentElement.style.fontSize = '200%'")
            # Twice the text needs room as a wide font does: the narrow one adds nothing to find.
            found |= faults(page, f"{screen.name} doubled", DOUBLED, (WIDE,))
    assert found == {}


def test_a_full_house_fits_in_both_fonts(browser: Browser, full_site: Site) -> None:
    found: dict[str, list[str]] = {}
    with visits(browser, full_site) as visit:
        screens = tuple(screen for screen in ON_SCREEN if screen.name in FULL)
        for screen, page in walk(visit, full_site, screens):
            found |= faults(page, screen.name, (*WINDOWS, *LARGE))
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
        assert page.locator(".plan-row").count() == 24
        for font in (WIDE, NARROW):
            set_font(page, font)
            page.evaluate("dispatchEvent(new Event('resize'))")
            bottom = page.locator(".plan-row").last.evaluate("row => row.getBoundingClientRect().bottom + scrollY")
            assert bottom <= 1080, font
