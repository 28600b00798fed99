"""What a minute late costs, and where tight and late begin; common practice, no source."""

from datetime import UTC, datetime, timedelta

import pytest

from desk.trade.play.needed_by import bag_weight, late_from, minutes_late, standing, urgency

NEEDED = datetime(2031, 5, 12, 14, 0, tzinfo=UTC)


def at(minutes: int) -> datetime:
    return NEEDED + timedelta(minutes=minutes)


def test_the_first_racquet_of_a_bag_counts_most() -> None:
    assert [bag_weight(before) for before in range(5)] == [10, 5, 3, 3, 3]


def test_a_place_in_the_bag_is_no_other_urgency() -> None:
    assert [urgency(weight) for weight in (20, 10, 5, 3, 1)] == [2, 1, 1, 1, 0]


@pytest.mark.parametrize(("minutes", "word", "late"), [(0, "", 0), (1, "tight", 0), (20, "tight", 0), (21, "late", 1)])
def test_between_needed_by_and_latest_it_is_tight_and_after_it_late(minutes: int, word: str, late: int) -> None:
    assert standing(at(minutes), NEEDED, at(20)) == word
    assert minutes_late(at(minutes), NEEDED, at(20)) == late


def test_without_a_latest_it_is_late_at_once_and_without_a_time_never() -> None:
    assert standing(at(1), NEEDED, None) == "late"
    assert standing(at(1), None, None) == ""
    assert late_from(NEEDED, at(-5)) == NEEDED
