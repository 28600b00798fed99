"""What a visit does to others, as the counter reads it."""

import pytest

from desk.web.counter.ready import Ready


@pytest.mark.parametrize(
    ("count", "said"), [(0, ""), (2, "R1, R2"), (6, "R1, R2, R3, R4, R5, R6"), (9, "R1, R2, R3, R4, R5, R6 and 3 more")]
)
def test_of_many_broken_promises_six_are_named(count: int, said: str) -> None:
    assert Ready(breaks=tuple(f"R{number}" for number in range(1, count + 1))).broken == said
