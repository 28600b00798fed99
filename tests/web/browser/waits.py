"""Waiting until all that a test goes through is there."""

from playwright.sync_api import Locator, expect


def each(found: Locator, count: int) -> list[Locator]:
    """Return all of them once `count` stand there; `Locator.all` returns what a page that still loads has."""
    expect(found).to_have_count(count)
    return found.all()
