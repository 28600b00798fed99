"""No screen speaks in words that only the program uses."""

import html
import re
from collections.abc import Callable

import pytest

from tests.web.browser.screens import SCREENS
from tests.web.scenes import full_house

OURS = re.compile(r"\b((?<!decimal )points?|mend(s|ed|ing)?|relaxed|stands against)\b", re.IGNORECASE)


def shown(page: str) -> str:
    """Return the words that a page shows."""
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page)))


@pytest.mark.slow
def test_no_screen_speaks_of_the_program(furnished: Callable) -> None:
    house, filled = furnished(full_house.midday)
    found = {}
    for screen in SCREENS:
        text = shown(house.as_role(screen.role).get(screen.address(filled)).text)
        if said := [text[max(0, m.start() - 40) : m.end() + 20] for m in OURS.finditer(text)]:
            found[screen.name] = said
    assert found == {}
