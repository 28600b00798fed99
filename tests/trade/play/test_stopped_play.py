"""Rain and suspended matches: what goes on, from where, and on which day."""

from dataclasses import replace

import pytest

from desk.trade.play.match_length import length_given
from desk.trade.play.play import PlaySettings, PlayStop
from desk.trade.play.start_of_play import forecast
from tests.trade.make_play import make_court, make_match, points_of


def test_rain_stops_the_clock_of_a_match_in_play():
    court = make_court(2)
    court[0] = replace(court[0], state="in_play", started_min=660)
    dry = forecast(court, 720)
    rain = PlaySettings(stops=(PlayStop(from_min=720, until_min=840),))
    wet = forecast(court, 800, rain)
    assert [point - 120 for point in wet["2"].points()] == list(dry["2"].points())


def test_a_suspended_match_goes_on_from_where_it_stood():
    court = make_court(2)
    court[0] = replace(court[0], state="suspended", started_min=660, suspended_min=720)
    wet = forecast(court, 800, PlaySettings(stops=(PlayStop(from_min=720, until_min=840),)))
    assert wet["1"].points() == (840,) * 5
    expected = length_given("men_3", 60).shifted(840 - 60)
    assert wet["1"].end.mean == pytest.approx(expected.mean, abs=0.01)
    assert wet["2"].point(0.5) > 840


def test_earlier_interruptions_are_no_play():
    on = make_match("1", state="in_play", started_min=660, paused_min=100)
    assert forecast([on], 820)["1"].end.mean == pytest.approx(length_given("men_3", 60).mean + 760, abs=0.01)


def test_rain_without_an_end_leaves_the_notice():
    stop = PlaySettings(stops=(PlayStop(from_min=600),), restart_notice_min=20)
    assert points_of(forecast(make_court(1), 700, stop), "1") == [(720,) * 5]


def test_rain_on_one_court_leaves_the_others():
    stop = PlaySettings(stops=(PlayStop(600, 900, frozenset({"Court 2"})),))
    matches = [*make_court(1), make_match("B", court="Court 2", start_kind="at", start_at_min=660)]
    starts = forecast(matches, 630, stop)
    assert points_of(starts, "1", "B") == [(660,) * 5, (900,) * 5]


def test_a_suspended_match_carried_to_the_next_day_starts_that_day():
    carried = make_match(
        "1", day=1, state="suspended", started_min=1300, suspended_min=1380,
        start_kind="not_before", start_at_min=1440 + 660,
    )  # fmt: skip
    assert points_of(forecast([carried], 1440), "1") == [(2100,) * 5]


def test_a_suspended_match_alone_goes_on_now():
    alone = make_match("1", state="suspended", started_min=660, suspended_min=700)
    assert points_of(forecast([alone], 760), "1") == [(760,) * 5]


def test_a_carried_match_does_not_open_the_next_day():
    carried = make_match("C", day=1, state="suspended", started_min=1300, suspended_min=1380, position=2)
    first = make_match("A", day=1, court="Court 2", start_kind="at", start_at_min=2100)
    follows = make_match("B", day=1, court="Court 3")
    assert points_of(forecast([carried, first, follows], 1440), "B") == [(2100,) * 5]
