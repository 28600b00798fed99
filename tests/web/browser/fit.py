"""What of a page can be measured of its letters: cut, on top of each other, out of their box, times in two."""

from pathlib import Path

from playwright.sync_api import Page

WIDE, NARROW = "DejaVu Sans", "Liberation Sans Narrow"
"""Two fonts of different width, from Debian's fonts-dejavu and fonts-liberation."""

_SET_FONT = """(name) => document.documentElement.style.setProperty('--sans', `"${name}"`)"""
_HAS_FONT = """(name) => {
  const width = (font) => {
    const pen = document.createElement('canvas').getContext('2d');
    pen.font = `72px ${font}`;
    return pen.measureText('Wimbledon 12:48 mmmiii').width;
  };
  return width(`"${name}", monospace`) !== width('monospace') || width(`"${name}", serif`) !== width('serif');
}"""
_MISFITS = (Path(__file__).parent / "misfits.js").read_text(encoding="utf-8")


def has_font(page: Page, name: str) -> bool:
    """Tell whether this machine has a font."""
    return page.evaluate(_HAS_FONT, name)


def set_font(page: Page, name: str) -> None:
    """Show the page in a font that its text does not name itself."""
    page.evaluate(_SET_FONT, name)


def misfits(page: Page) -> list[str]:
    """Return what does not fit on the page as it stands, a line each."""
    return page.evaluate(_MISFITS)
