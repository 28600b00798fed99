import numpy as np
import pytest
from scipy import stats

from desk.trade.errors import PlayError
from desk.trade.play.match_figures import FORMATS
from desk.trade.play.match_length import changeover, completed_length, lasting, length, length_given
from desk.trade.play.match_scale import learned_scale

# Computed from "Tennis databases, files, and algorithms", Jeff Sackmann / Tennis Abstract (CC BY-NC-SA 4.0):
# 1, 5, 10, 25, 50, 75, 90, 95, 99 % points, mean and sd of completed matches, minutes.
PUBLISHED = {
    "men_3": ((56, 65, 71, 83, 102, 131, 156, 169, 194), 108.7, 33.0),
    "women_3": ((53, 62, 67, 78, 97, 128, 153, 168, 193), 104.7, 33.6),
    "men_5": ((88, 99, 108, 127, 158, 199, 233, 251, 282), 165.3, 47.9),
    "doubles": ((44, 51, 56, 64, 75, 87, 99, 106, 120), 76.0, 16.8),
}
CHANCES = (0.01, 0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95, 0.99)


@pytest.mark.outside
@pytest.mark.parametrize("name", PUBLISHED)
def test_completed_lengths_lie_on_the_published_points(name):
    points, mean, sd = PUBLISHED[name]
    grid = completed_length(name)
    assert [grid.point(chance) for chance in CHANCES] == pytest.approx(points, abs=4)
    assert (grid.mean, grid.sd) == (pytest.approx(mean, abs=1), pytest.approx(sd, abs=2))


@pytest.mark.outside
@pytest.mark.parametrize(("name", "median"), [("men_3", 56), ("women_3", 60), ("men_5", 92)])
def test_half_of_the_retired_matches_end_before_the_published_median(name, median):
    # Same source: a retired match lasts less than 56 / 60 / 92 minutes in half of the cases.
    share = FORMATS[name].retired_once_begun
    whole, completed = length(name), completed_length(name)
    early = (whole.chance_before(median) - (1 - share) * completed.chance_before(median)) / share
    assert early == pytest.approx(0.5, abs=0.02)


@pytest.mark.outside
def test_the_changeover_has_the_published_least_and_median():
    # Same source: 15 minutes at the least (5 % point), median 23.
    assert (changeover().point(0.05), changeover().point(0.50)) == (15, 23)
    assert changeover(15, 15).p.tolist() == [1.0]


def test_a_walkover_lasts_no_time():
    assert lasting("doubles").chance_before(1) == pytest.approx(0.025, abs=1e-6)
    assert length("doubles").chance_before(5) < 1e-4


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("played", [0, 30, 90, 200])
def test_a_match_still_on_lasts_longer_than_it_has(name, played):
    grid = length_given(name, played)
    assert grid.first > played
    assert grid.p.sum() == pytest.approx(1)


def test_a_match_beyond_any_length_is_about_to_end():
    assert length_given("doubles", 900).first == 901
    assert length_given("doubles", 650, 1).mean < 720


def test_more_sets_over_leave_less_to_come_while_the_match_is_sure_to_go_on():
    ends = [length_given("men_5", 120, sets).mean for sets in (0, 1, 2)]
    assert ends == sorted(ends, reverse=True)


def test_a_third_set_under_way_rules_out_two_sets():
    two_done = length_given("men_3", 100, 2)
    unknown = length_given("men_3", 100)
    assert two_done.chance_before(110) < unknown.chance_before(110)


@pytest.mark.parametrize(("name", "sets"), [("men_3", 3), ("women_3", -1), ("men_5", 5), ("doubles", 3)])
def test_a_number_of_sets_that_ends_the_match_is_refused(name, sets):
    with pytest.raises(PlayError, match="mark the match as finished"):
        length_given(name, 60, sets)


def test_an_unknown_format_is_refused():
    with pytest.raises(PlayError, match='"best of 7" is no format'):
        length("best of 7")


def simulated_best_of_three(rng, n):
    """Matches of independent gamma sets whose total is lognormal: total times Dirichlet shares."""
    third = rng.random(n) < 0.363
    total = np.exp(np.where(third, rng.normal(4.9465, 0.1695, n), rng.normal(4.4715, 0.2072, n)))
    sets = rng.gamma(11.0, size=(n, 3)) * np.array([1, 1, 0])[None, :]
    sets[third, 2] = rng.gamma(11.0, size=third.sum())
    return total, np.cumsum(sets / sets.sum(axis=1, keepdims=True), axis=1) * total[:, None]


@pytest.mark.parametrize(("played", "done"), [(40, 0), (60, 1), (90, 1), (110, 2)])
def test_the_length_given_the_sets_over_agrees_with_simulation(played, done):
    total, ends = simulated_best_of_three(np.random.default_rng(5), 400_000)
    here = (total > played) & ((ends <= played).sum(axis=1) == done)
    simulated = np.quantile(total[here], [0.25, 0.5, 0.75])
    grid = length_given("men_3", played, done)
    assert [grid.point(chance) for chance in (0.25, 0.5, 0.75)] == pytest.approx(simulated, abs=4)


@pytest.mark.outside
def test_the_share_over_is_the_beta_distribution():
    # scipy.stats.beta as the independent implementation.
    from desk.trade.play.match_length import _share_over

    share = np.linspace(0.01, 0.99, 50)
    assert _share_over(share, (11, 11, 4), 1) == pytest.approx(stats.beta.cdf(share, 11, 15), abs=1e-9)


def test_no_completed_match_leaves_the_published_figures():
    assert learned_scale([], [("men_3", 80)]).factor == 1.0


def test_an_event_known_to_be_quick_starts_from_there_and_learns_away_from_it():
    rng = np.random.default_rng(19)
    usual = [("men_3", max(1, round(minutes))) for minutes in simulated_best_of_three(rng, 600)[0]]
    assert learned_scale([], usual=0.9).factor == 0.9
    assert learned_scale(usual[:5], usual=0.9).factor == pytest.approx(0.9, abs=0.05)
    assert learned_scale(usual, usual=0.9).factor == pytest.approx(1.0, abs=0.035)


@pytest.mark.parametrize("true_factor", [0.85, 1.0, 1.15])
def test_the_event_factor_is_shrunk_towards_one_and_found_in_the_end(true_factor):
    rng = np.random.default_rng(11)
    total = simulated_best_of_three(rng, 600)[0] * true_factor
    lengths = [("men_3", max(1, round(minutes))) for minutes in total]
    few, many = learned_scale(lengths[:10]), learned_scale(lengths)
    assert abs(few.factor - 1) <= abs(true_factor - 1) + 0.05
    assert many.factor == pytest.approx(true_factor, abs=0.035)
    assert many.n == 600


def test_matches_still_on_keep_a_morning_from_looking_quick():
    rng = np.random.default_rng(3)
    total = simulated_best_of_three(rng, 300)[0]
    done = [("men_3", round(minutes)) for minutes in total if minutes <= 90]
    still_on = [("men_3", 90) for minutes in total if minutes > 90]
    assert learned_scale(done).factor < 0.85
    assert learned_scale(done, still_on).factor == pytest.approx(1.0, abs=0.06)


def test_a_match_nobody_marked_as_finished_moves_the_factor_little():
    assert learned_scale([("men_3", 1400)]).factor <= 1.05
