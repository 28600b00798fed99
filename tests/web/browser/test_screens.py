"""Every screen at each size, light and dark, in two fonts: nothing cut, nothing small, nothing that axe-core finds."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Browser, Page

from tests.web.browser.conftest import SIZES, accessibility_faults, visits
from tests.web.browser.fit import DOUBLED, WIDE, fit_faults
from tests.web.browser.screens import CLUB_SCREENS, EMPTY_SCREENS, Screen, small_targets, walk, wider_than_screen
from tests.web.browser.served import Site

pytestmark = pytest.mark.browser

IN_COLOUR = ("color-contrast",)


def faults(page: Page, axe: str, *, only: tuple[str, ...] = ()) -> list[str]:
    sideways = [f"scrolls {pixels} px sideways"] if (pixels := wider_than_screen(page)) else []
    return [*accessibility_faults(page, axe, only=only), *small_targets(page), *sideways]


def set_touch(page: Page, enabled: bool) -> None:
    """Let the page be used by fingers or by a mouse from now on."""
    touch = {"enabled": enabled, "maxTouchPoints": 1}
    page.context.new_cdp_session(page).send("Emulation.setTouchEmulationEnabled", touch)
    assert page.evaluate("matchMedia('(pointer: coarse)').matches") == enabled


@pytest.mark.usefixtures("fonts")
def test_screens_are_accessible_and_fit(visit: Callable, site: Site, axe: str) -> None:
    """On a phone in light colours, on a tablet in dark ones, in two fonts and by a mouse, on much and little room.

    590 pixels is what 1180 leave at 200 % zoom.
    """
    found = {}
    for screen, page in walk(visit, site, size="phone"):
        found[screen.name] = faults(page, axe)
        shown(page, "tablet", "dark")
        found[f"{screen.name} on a tablet"] = faults(page, axe, only=IN_COLOUR)
        set_touch(page, False)
        for width in (1920, 590, 320):
            page.set_viewport_size({"width": width, "height": 640})
            if pixels := wider_than_screen(page):
                found[f"{screen.name} at {width}"] = [f"scrolls {pixels} px sideways"]
        set_touch(page, True)
        # Paper has sizes of its own: its tests measure it.
        if not screen.name.startswith("print"):
            found |= letters_out_of_place(page, screen.name)
        shown(page, "phone", "light")
    assert only_faults(found) == {}


def letters_out_of_place(page: Page, name: str) -> dict[str, list[str]]:
    """Return what does not fit in both fonts, and at twice the text.

    A browser may double its text (WCAG 2.2, 1.4.4 Resize Text: up to 200 per cent without loss of content). Twice the
    text needs room as a wide font does: the narrow one adds nothing to find.
    """
    found = fit_faults(page, name)
    # The board in the hall sets its type by the height of its screen.
    if name != "hall-board":
        page.evaluate("document.documentElement.style.fontSize = '200%'")
        found |= fit_faults(page, f"{name} doubled", DOUBLED, (WIDE,))
    return found


def shown(page: Page, size: str, scheme: str) -> None:
    width, height = SIZES[size]
    page.set_viewport_size({"width": width, "height": height})
    page.emulate_media(color_scheme=scheme)


def only_faults(found: dict) -> dict:
    return {name: faults for name, faults in found.items() if faults}


@pytest.mark.parametrize(("name", "screens"), [("empty_site", EMPTY_SCREENS), ("club_site", CLUB_SCREENS)])
def test_screens_of_other_events_are_accessible_and_fit(
    request: pytest.FixtureRequest, browser: Browser, axe: str, name: str, screens: tuple[Screen, ...]
) -> None:
    site = request.getfixturevalue(name)
    with visits(browser, site) as visit:
        found = {screen.name: faults(page, axe) for screen, page in walk(visit, site, screens, size="phone")}
    assert only_faults(found) == {}
