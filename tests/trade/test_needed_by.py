from dataclasses import replace

import pytest

from desk.trade.errors import PlayError
from desk.trade.needed_by import (
    NeededBy,
    NeededBySettings,
    change,
    needed_at,
    needed_for_match,
    needed_for_practice,
    needed_on_court,
    next_match,
)
from desk.trade.play import PlaySettings, PlayStop
from desk.trade.start_of_play import forecast
from tests.trade.make_play import make_court, make_match


def test_the_first_match_of_a_court_is_its_time_less_the_lead():
    needed = needed_for_match(forecast(make_court(1), 0)["1"])
    assert needed == NeededBy(630, 5, "match", "1", 660)


def test_a_match_that_follows_is_its_five_per_cent_point_less_the_lead():
    start = forecast(make_court(3), 0)["3"]
    needed = needed_for_match(start, NeededBySettings(chance=0.05, lead_min=30))
    assert needed.at_min == start.point(0.05) - 30
    assert start.chance_before(needed.point_min) <= 0.05 < start.chance_before(needed.point_min + 1)


def test_not_before_is_the_later_of_the_time_and_the_point_less_the_lead():
    court = make_court(2)
    late = forecast([court[0], replace(court[1], start_kind="not_before", start_at_min=900)], 0)["2"]
    soon = forecast([court[0], replace(court[1], start_kind="not_before", start_at_min=600)], 0)["2"]
    free = forecast(court, 0)["2"]
    assert needed_for_match(late).at_min == 870
    assert needed_for_match(soon).at_min == free.point(0.05) - 30


def test_a_match_in_play_weighs_most():
    court = make_court(2)
    court[0] = replace(court[0], state="in_play", started_min=660)
    starts = forecast(court, 700)
    assert [needed_for_match(starts[key]).weight for key in ("1", "2")] == [20, 5]


@pytest.mark.parametrize("state", ["finished", "retired", "walkover", "cancelled"])
def test_a_match_that_is_over_needs_nothing(state):
    over = make_match("1", state=state, start_kind="at", start_at_min=660, started_min=660, ended_min=700)
    assert needed_for_match(forecast([over], 710)["1"]) is None


def test_the_other_reasons_have_their_weights():
    assert needed_on_court(700) == NeededBy(700, 20, "on court")
    assert needed_at(700) == NeededBy(700, 5, "time")
    assert needed_for_practice() == NeededBy(None, 1, "practice")


def test_the_next_match_of_a_player_is_the_first_to_start():
    singles = make_match("S", start_kind="at", start_at_min=900, players=("P",))
    doubles = make_match("D", court="Court 2", start_kind="at", start_at_min=700, players=("P", "Q"))
    starts = forecast([singles, doubles], 600)
    assert next_match(starts, "P").match.key == "D"
    assert next_match(starts, "nobody") is None


def test_after_a_match_the_next_one_counts():
    first = make_match("1", players=("P",), state="finished", started_min=660, ended_min=760)
    second = make_match("2", court="Court 2", start_kind="at", start_at_min=1000, players=("P",))
    assert next_match(forecast([first, second], 770), "P").match.key == "2"


def test_rain_relaxes_and_a_short_match_makes_urgent():
    court = make_court(2)
    court[0] = replace(court[0], state="in_play", started_min=660)
    before = needed_for_match(forecast(court, 720)["2"])
    rain = needed_for_match(forecast(court, 721, PlaySettings(stops=(PlayStop(720, 900),)))["2"])
    done = [replace(court[0], state="retired", ended_min=721), court[1]]
    assert change(before, rain) == "relaxed"
    assert change(before, needed_for_match(forecast(done, 722)["2"])) == "urgent"


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        (needed_at(700), needed_at(703), "same"),
        (needed_at(700), needed_at(705), "relaxed"),
        (needed_at(700), needed_at(690), "urgent"),
        (needed_at(700), needed_on_court(720), "urgent"),
        (needed_at(700), None, "relaxed"),
        (None, needed_at(700), "urgent"),
        (None, None, "same"),
        (needed_for_practice(), needed_for_practice(), "same"),
        (needed_for_practice(), needed_for_practice(600), "urgent"),
    ],
)
def test_a_change_of_needed_by_is_named(before, after, expected):
    assert change(before, after) == expected


@pytest.mark.parametrize("over", [{"chance": 0}, {"chance": 0.6}, {"lead_min": -1}])
def test_settings_that_mean_nothing_are_refused(over):
    with pytest.raises(PlayError, match="Needed by"):
        NeededBySettings(**over)
