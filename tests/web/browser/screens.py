"""What of a page can be measured: sideways scrolling, small targets, text that is cut."""

from __future__ import annotations

from playwright.sync_api import Page

WIDER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
SMALL_TARGETS = """
() => [...document.querySelectorAll('a, button, summary, select, input:not([type=hidden])')]
  .filter(e => e.checkVisibility() && !e.closest('.skip, p, dialog') && !e.matches('.skip'))
  .map(e => ({e: e.closest('label') || e}))
  .map(({e}) => ({text: (e.textContent || e.name || '').trim().slice(0, 40), box: e.getBoundingClientRect()}))
  .filter(({box}) => box.height > 1 && Math.round(box.height) < 44)
  .map(({text, box}) => `${text}: ${Math.round(box.height)} px`)
"""


def wider_than_screen(page: Page) -> int:
    """Return by how many pixels the page scrolls sideways."""
    return page.evaluate(WIDER)


def small_targets(page: Page) -> list[str]:
    """Return links and buttons lower than 44 px; links within a sentence are left out."""
    return page.evaluate(SMALL_TARGETS)
