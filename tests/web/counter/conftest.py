"""The counter in a house of its own."""

from collections.abc import Callable

import pytest

from tests.web.counter.known_player import Counter, fill


@pytest.fixture
def counter(furnished: Callable) -> Counter:
    house, made = furnished(fill)
    return Counter(house, *made)
