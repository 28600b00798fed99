"""What of a page can be measured of its letters: cut, on top of each other, out of their box, times in two."""

from pathlib import Path

from playwright.sync_api import Page

WIDE, NARROW = "DejaVu Sans", "Liberation Sans Narrow"
"""Two fonts of different width, from Debian's fonts-dejavu and fonts-liberation."""
WINDOWS = ((1920, 1080), (1440, 900), (1024, 768), (768, 1024), (390, 844), (320, 640))
DOUBLED = WINDOWS[1:]

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


def fit_faults(
    page: Page, name: str, windows: tuple[tuple[int, int], ...] = WINDOWS, fonts: tuple[str, ...] = (WIDE, NARROW)
) -> dict[str, list[str]]:
    """Return what does not fit in each font and window, by the NAME of the screen, the font and the width."""
    found = {}
    for font in fonts:
        set_font(page, font)
        for width, height in windows:
            page.set_viewport_size({"width": width, "height": height})
            if wrong := misfits(page):
                found[f"{name} in {font} at {width}"] = wrong
    return found
