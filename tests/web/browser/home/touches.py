"""Touches and fields of a page, counted as a hand makes them."""

from playwright.sync_api import Page

COUNT = """
const count = (e) => {
  if (!e.isTrusted || (e.type === 'click' && !e.detail)) return;
  sessionStorage.touches = 1 + Number(sessionStorage.touches || 0);
};
for (const type of ['click', 'change']) window.addEventListener(type, count, true);
"""


def count_touches(page: Page) -> None:
    """Count from the next page on."""
    page.add_init_script(COUNT)


def touches_of(page: Page) -> int:
    return int(page.evaluate("sessionStorage.touches"))
