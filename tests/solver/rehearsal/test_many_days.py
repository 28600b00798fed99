"""Many days over processes: the same days for every team and every number of processes."""

from functools import partial

import numpy as np
import pytest
from scipy.stats import t

from solver.rehearsal import HowPlayed, band_of, mean_band, play_many
from tests.solver.rehearsal.make_day import make_day, make_team

pytestmark = pytest.mark.slow


def a_day(number, racquets=12):
    """Twelve racquets that come by and by, with minutes drawn by the day's number."""
    dice = np.random.default_rng(number)
    factor = dice.lognormal(0, 0.2, racquets)
    return make_day(list(range(0, 15 * racquets, 15)), player=list(range(racquets)), factor=factor, seed=number)


def last_end(day, team, went):
    """When the last racquet is done."""
    return team.name, int(went.end.max()), float(day.racquets.factor.sum())


TEAMS = (make_team(1, name="one"), make_team(2, name="two"))


def test_every_team_plays_the_same_days():
    found = play_many(a_day, TEAMS, 4, last_end, workers=1)
    assert [[name for name, _, _ in teams] for teams in found] == [["one", "two"]] * 4
    assert all(one[2] == two[2] for one, two in found)
    assert all(one[1] >= two[1] for one, two in found)


def test_two_processes_give_the_same_days_and_tell_how_far_they_are():
    told = []
    found = play_many(partial(a_day, racquets=6), TEAMS, 5, last_end, workers=2, tell=told.append)
    assert found == play_many(partial(a_day, racquets=6), TEAMS, 5, last_end, workers=1)
    assert (told[-1].done, told[-1].of, told[-1].seconds_left) == (5, 5, 0)


def test_promises_are_given_when_asked_for():
    def promised(day, team, went):
        return int(went.promised[0])

    (kept,), (not_given,) = (
        play_many(a_day, TEAMS[:1], 1, promised, how=HowPlayed(promises=given), workers=1)[0] for given in (True, False)
    )
    assert kept < 100 < not_given


def test_a_band_holds_nine_in_ten():
    band = band_of(range(1, 101))
    assert (band.middle, band.low, band.high) == (50.5, 5, 95)


def test_the_band_of_a_mean_is_that_of_students_t():
    values = [3.0, 4.0, 8.0, 1.0, 5.0, 2.0]
    half = t.ppf(0.95, 5) * np.std(values, ddof=1) / 6**0.5
    assert mean_band(values).high == pytest.approx(np.mean(values) + half, rel=2e-3)
    assert mean_band(values).low == pytest.approx(np.mean(values) - half, rel=2e-3)


def test_a_band_of_nothing_is_refused():
    with pytest.raises(ValueError, match="at least one"):
        band_of([])
    with pytest.raises(ValueError, match="two replications"):
        mean_band([1.0])
