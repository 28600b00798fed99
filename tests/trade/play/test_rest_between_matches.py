"""A player's rest: on other courts, on the same one, and before a final."""

from dataclasses import replace

import numpy as np
import pytest

from desk.trade.play.match_length import length_given
from desk.trade.play.play import PlaySettings
from desk.trade.play.start_of_play import forecast
from tests.trade.make_play import EXACTLY_15, make_court, make_match, points_of, simulated_gaps, simulated_lengths


def two_courts(**over):
    """The same player first on Court 1 and second on Court 2."""
    return [
        make_match("A1", start_kind="at", start_at_min=660, players=("P",), format="men_5"),
        make_match("B1", court="Court 2", start_kind="at", start_at_min=660, format="doubles"),
        make_match("B2", court="Court 2", position=2, format="doubles", players=("P", "Q"), **over),
    ]


def test_a_player_rests_before_a_match_on_another_court_as_simulated():
    rng, n = np.random.default_rng(9), 200_000
    one, other = simulated_lengths("men_5", rng, n), simulated_lengths("doubles", rng, n)
    rested = 660 + np.where(one > 0, one + 60, 0)
    free = 660 + np.where(other > 0, other + simulated_gaps(rng, n), 0)
    expected = np.quantile(np.maximum(rested, free), [0.01, 0.05, 0.10, 0.50, 0.90])
    starts = forecast(two_courts(), 0, PlaySettings(rest_min=60))
    assert starts["B2"].points() == pytest.approx(expected, abs=2)


def test_a_longer_rest_starts_later():
    short, long = (forecast(two_courts(), 0, PlaySettings(rest_min=rest))["B2"] for rest in (30, 120))
    assert long.point(0.5) == short.point(0.5) + 90


def test_a_player_of_a_walkover_needs_no_rest():
    matches = two_courts()
    matches[0] = replace(matches[0], state="walkover")
    alone = [replace(match, players=()) for match in two_courts()]
    assert forecast(matches, 0)["B2"].points() == forecast(alone, 0)["B2"].points()


def test_a_rest_after_a_finished_match_holds_its_player():
    matches = two_courts()
    matches[0] = replace(matches[0], state="finished", started_min=660, ended_min=900)
    matches[1] = replace(matches[1], state="finished", started_min=660, ended_min=730)
    assert points_of(forecast(matches, 905, PlaySettings(rest_min=60)), "B2") == [(960,) * 5]


def test_the_same_player_twice_in_a_row_rests_longer_than_the_changeover():
    court = [replace(match, players=("P",)) for match in make_court(2)]
    rest = forecast(court, 0, PlaySettings(between_least_min=15, between_median_min=15, rest_min=90))
    none = forecast(make_court(2), 0, EXACTLY_15)
    assert rest["2"].point(0.5) == none["2"].point(0.5) + 75


def test_a_player_twice_on_one_court_with_a_match_between_agrees_with_simulation():
    rng, n, rest = np.random.default_rng(13), 200_000, 150
    one, two = simulated_lengths("men_3", rng, n), simulated_lengths("men_3", rng, n)
    second = 660 + np.where(one > 0, one + simulated_gaps(rng, n), 0)
    third = second + np.where(two > 0, two + simulated_gaps(rng, n), 0)
    third = np.maximum(third, 660 + np.where(one > 0, one + rest, 0))
    court = make_court(3)
    court[0], court[2] = (replace(court[i], players=("P",)) for i in (0, 2))
    starts = forecast(court, 0, PlaySettings(rest_min=rest))
    assert starts["3"].points() == pytest.approx(np.quantile(third, [0.01, 0.05, 0.10, 0.50, 0.90]), abs=3)


def test_the_winners_of_two_matches_start_after_both_and_a_rest():
    semis = [
        make_match("S1", court="Court 1", start_kind="at", start_at_min=660),
        make_match("S2", court="Court 2", start_kind="at", start_at_min=720),
    ]
    final = make_match("F", court="Court 3", start_kind="not_before", start_at_min=700, feeders=("S1", "S2"))
    rng, n = np.random.default_rng(17), 200_000
    ready = [
        at + np.where(minutes > 0, minutes + 60, 0)
        for at, minutes in ((660, simulated_lengths("men_3", rng, n)), (720, simulated_lengths("men_3", rng, n)))
    ]
    expected = np.quantile(np.maximum(np.maximum(*ready), 700), [0.01, 0.05, 0.10, 0.50, 0.90])
    assert forecast([final, *semis], 0)["F"].points() == pytest.approx(expected, abs=2)


def test_a_player_still_on_elsewhere_is_waited_for_even_when_the_next_match_is_overdue():
    overdue = make_match("1", start_kind="at", start_at_min=660, players=("P",))
    on = make_match("2", court="Court 2", state="in_play", started_min=700, players=("P",))
    start = forecast([overdue, on], 720, PlaySettings(rest_min=30))["1"].start
    expected = length_given("men_3", 20).shifted(700 + 30)
    assert (start.first, start.mean) == (expected.first, pytest.approx(expected.mean))
