"""Orders of play that cannot be are refused with the match and the reason."""

from dataclasses import replace

import pytest

from desk.trade.errors import PlayError
from desk.trade.play.play import PlaySettings
from desk.trade.play.start_of_play import forecast
from tests.trade.make_play import make_court, make_match


def test_a_circle_of_winners_is_refused_by_name():
    matches = [
        make_match("X", start_kind="at", start_at_min=660, feeders=("Y",)),
        make_match("Y", court="Court 2", start_kind="at", start_at_min=660, feeders=("X",)),
    ]
    with pytest.raises(PlayError, match="X waits for Y waits for X"):
        forecast(matches, 0)


def test_a_winner_of_a_later_match_on_the_same_court_is_a_circle():
    court = make_court(2)
    court[0] = replace(court[0], feeders=("2",))
    with pytest.raises(PlayError, match="wait for each other"):
        forecast(court, 0)


@pytest.mark.parametrize(
    ("over", "message"),
    [
        ({"feeders": ("99",)}, "winner of 99, which is not"),
        ({"start_kind": "not_before"}, "has no time"),
        ({"state": "finished"}, "over without an end"),
        ({"state": "in_play"}, "on without a start"),
        ({"state": "suspended", "started_min": 700}, "suspended since no time"),
        ({"format": "sprint"}, "is no format"),
        ({"state": "in_play", "started_min": 700, "sets_done": 3}, "3 sets are over"),
        ({"position": 1}, "both stand at position 1"),
        ({"key": "1"}, "stands twice"),
    ],
)
def test_an_order_of_play_that_cannot_be_is_refused(over, message):
    court = make_court(2)
    with pytest.raises(PlayError, match=message):
        forecast([court[0], replace(court[1], **over)], 0)


def test_two_matches_in_play_on_a_court_are_refused():
    on = [replace(match, state="in_play", started_min=660) for match in make_court(2)]
    with pytest.raises(PlayError, match="both in play"):
        forecast(on, 700)


def test_a_day_without_any_time_is_refused():
    with pytest.raises(PlayError, match="Nothing on its day has a time"):
        forecast([make_match("1")], 0)


@pytest.mark.parametrize(("least", "median"), [(20, 15), (-1, 10)])
def test_a_changeover_that_cannot_be_is_refused(least, median):
    with pytest.raises(PlayError, match="Between two matches"):
        PlaySettings(between_least_min=least, between_median_min=median)
