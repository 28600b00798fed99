"""Every large time of a screen stands beside the word that says what time it is."""

import html
import re
from collections.abc import Callable

import pytest

from tests.web.browser.screens import SCREENS
from tests.web.scenes import full_house

HEAD = re.compile(r'<span class="line-time[^>]*>(.*?)</span>\s*(?:<span|<div|<output|<p|<form|</li|$)', re.DOTALL)
LARGE = re.compile(r'<time class="time ?(?:hero)? ?"')
CLOCK = re.compile(r"\b\d{1,2}:\d\d\b")
BEFORE = re.compile(r"(ready by|promised|needed by|about|on court[^<]*|next promise)$", re.IGNORECASE)


def words(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


@pytest.mark.slow
def test_every_large_time_says_what_it_is(furnished: Callable) -> None:
    house, filled = furnished(full_house.midday)
    bare, seen = {}, 0
    for screen in SCREENS:
        if screen.name.startswith(("print", "player-page", "word-asked")):
            continue
        # In the history of a racquet the state beside each time says what happened then.
        page = house.as_role(screen.role).get(screen.address(filled)).text.partition("<h2>What happened</h2>")[0]
        heads = [head for head in HEAD.findall(page) if CLOCK.search(words(head))]
        without = [words(head) for head in heads if "time-word" not in head]
        for large in LARGE.finditer(page):
            said = words(page[: large.start()])
            if not BEFORE.search(re.sub(r"( in [\dhmin ]+| \d+ \w+ ago|, .* (late|over))$", "", said)):
                without.append(said[-40:])
            seen += 1
        seen += len(heads)
        if without:
            bare[screen.name] = without
    assert bare == {}
    assert seen > 60
