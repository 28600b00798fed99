"""Changeovers by the clock: every nine to ten minutes of play (common practice)."""

from datetime import UTC, datetime, timedelta

from desk.trade.play.changeovers import next_changeover

START = datetime(2031, 5, 12, 10, 0, tzinfo=UTC)
NONE = timedelta(0)


def minutes(at: datetime) -> float:
    return (at - START).total_seconds() / 60


def test_the_first_one_is_nine_to_ten_minutes_after_the_start() -> None:
    assert 9 <= minutes(next_changeover(START, NONE, START)) <= 10


def test_it_is_always_ahead_and_never_further_than_one_stretch() -> None:
    for minute in range(180):
        at = START + timedelta(minutes=minute)
        assert timedelta(0) < next_changeover(START, NONE, at) - at <= timedelta(minutes=9.5)


def test_minutes_of_rain_push_it_back() -> None:
    at, rain = START + timedelta(minutes=50), timedelta(minutes=20)
    assert next_changeover(START, rain, at) == next_changeover(START, NONE, at - rain) + rain
