from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from desk.trade.errors import TimeError
from desk.trade.event.event_time import EventClock, as_utc

VIENNA = EventClock("Europe/Vienna", date(2026, 5, 11))
SPRING = EventClock("Europe/Vienna", date(2026, 3, 28))  # clocks go forward 2026-03-29 02:00
AUTUMN = EventClock("Europe/Vienna", date(2026, 10, 24))  # clocks go back 2026-10-25 03:00


def test_minute_zero_is_local_midnight_of_the_first_day():
    assert VIENNA.to_utc(0) == datetime(2026, 5, 10, 22, 0, tzinfo=UTC)
    assert VIENNA.to_minutes(datetime(2026, 5, 11, 12, 5, 59, tzinfo=UTC)) == 14 * 60 + 5


def test_a_moment_before_the_first_day_is_negative():
    assert VIENNA.to_minutes(datetime(2026, 5, 10, 21, 59, 30, tzinfo=UTC)) == -1


def test_the_wall_clock_is_shown_alone_or_with_its_weekday():
    assert (VIENNA.hhmm(1440 + 845), VIENNA.weekday_hhmm(VIENNA.to_utc(1440 + 845))) == ("14:05", "Tue 14:05")


def test_a_time_after_midnight_belongs_to_the_night_after_the_day():
    assert VIENNA.to_minutes(VIENNA.parse("24:30", date(2026, 5, 11))) == 1470
    assert VIENNA.parse("24:30", date(2026, 5, 11)) == VIENNA.parse("0:30", date(2026, 5, 12))
    assert VIENNA.weekday_hhmm(VIENNA.to_utc(1470)) == "Tue 00:30"


def test_a_time_of_another_day_is_said_with_its_weekday_and_of_another_week_with_its_date() -> None:
    noon = VIENNA.to_utc(720)
    assert [VIENNA.spoken(VIENNA.to_utc(minute), noon) for minute in (0, 1439, 1440, -1, 7 * 1440 - 1, 7 * 1440)] == [
        "00:00", "23:59", "Tue 00:00", "Sun 23:59", "Sun 23:59", "18 May 00:00"
    ]  # fmt: skip


@pytest.mark.parametrize("text", ["", "30:00", "12:60", "1405", "14:5", "noon", "-1:00"])
def test_a_time_that_cannot_be_read_is_refused(text):
    with pytest.raises(TimeError, match="is no time"):
        VIENNA.parse(text, date(2026, 5, 11))


@pytest.mark.parametrize(("text", "day"), [("02:30", date(2026, 3, 29)), ("26:30", date(2026, 3, 28))])
def test_a_time_that_the_clock_change_skips_is_refused(text, day):
    with pytest.raises(TimeError, match="02:30 does not exist on 2026-03-29"):
        SPRING.parse(text, day)


def test_a_time_that_comes_twice_is_the_earlier_and_says_so():
    day = date(2026, 10, 25)
    assert AUTUMN.parse("02:30", day) == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert AUTUMN.note("02:30", day) == "02:30 comes twice that night; the earlier is meant."
    assert AUTUMN.note("04:30", day) is None


@pytest.mark.parametrize(("clock", "length"), [(SPRING, 1380), (AUTUMN, 1500), (VIENNA, 1440)])
def test_minutes_elapse_through_a_clock_change(clock, length):
    second = clock.first_day + timedelta(days=1)
    assert clock.day_start(second + timedelta(days=1)) - clock.day_start(second) == length
    assert clock.hhmm(clock.day_start(second) + length - 60) == "23:00"


def test_a_day_whose_midnight_is_skipped_begins_when_the_clock_does():
    # Beirut went from 00:00 to 01:00 on 2022-03-27 (IANA tz database).
    clock = EventClock("Asia/Beirut", date(2022, 3, 27))
    assert (clock.hhmm(0), clock.day_of(0)) == ("01:00", date(2022, 3, 27))
    assert clock.hhmm(-1) == "23:59"


@pytest.mark.outside
@given(st.datetimes(datetime(2026, 1, 1), datetime(2027, 12, 31), timezones=st.just(UTC)))
def test_the_wall_clock_agrees_with_the_standard_library(moment):
    minute = AUTUMN.to_minutes(moment)
    assert AUTUMN.to_utc(minute) <= moment < AUTUMN.to_utc(minute + 1)
    assert AUTUMN.hhmm(minute) == moment.astimezone(ZoneInfo("Europe/Vienna")).strftime("%H:%M")


@given(st.integers(0, 20 * 1440))
def test_a_shown_time_reads_back_but_in_the_doubled_hour(minute):
    day = AUTUMN.day_of(minute)
    back = AUTUMN.to_minutes(AUTUMN.parse(AUTUMN.hhmm(minute), day))
    assert back == minute or (back == minute - 60 and AUTUMN.note(AUTUMN.hhmm(minute), day))


@pytest.mark.parametrize("text", ["2026-05-12", "Tue", "tuesday", "2", "day 2"])
def test_a_day_is_read_as_date_weekday_or_number(text):
    assert VIENNA.parse_day(text) == date(2026, 5, 12)


def test_a_weekday_that_comes_twice_is_refused():
    with pytest.raises(TimeError, match="comes twice"):
        VIENNA.parse_day("Tue", last_day=date(2026, 5, 24))


@pytest.mark.parametrize("text", ["", "someday", "0", "2026-13-01"])
def test_a_day_that_cannot_be_read_is_refused(text):
    with pytest.raises(TimeError, match="is no day"):
        VIENNA.parse_day(text)


def test_a_day_and_time_are_read_together():
    assert VIENNA.parse_moment("Tue 14:05") == VIENNA.to_utc(1440 + 845)
    with pytest.raises(TimeError, match="no day and time"):
        VIENNA.parse_moment("14:05")


def test_an_unknown_zone_is_refused():
    with pytest.raises(TimeError, match="is no time zone"):
        EventClock("Europe/Nowhere", date(2026, 5, 11))


def test_a_naive_moment_is_refused_until_it_is_called_utc():
    naive = datetime(2026, 5, 11, 12)
    with pytest.raises(TimeError, match="has no zone"):
        VIENNA.to_minutes(naive)
    assert VIENNA.to_minutes(as_utc(naive)) == 14 * 60
