from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal, stats

from desk.trade.bench.minute_grid import MinuteGrid, lognormal


@st.composite
def grids(draw):
    weights = np.array(draw(st.lists(st.integers(1, 9), min_size=1, max_size=12)), dtype=float)
    return MinuteGrid(draw(st.integers(-20, 20)), weights / weights.sum())


def masses(grid):
    return {grid.first + i: p for i, p in enumerate(grid.p)}


def combined(one, other, how):
    """The distribution of how(X, Y) by going through every pair."""
    found = {}
    for (x, p), (y, q) in product(masses(one).items(), masses(other).items()):
        found[how(x, y)] = found.get(how(x, y), 0) + p * q
    return found


def assert_same(grid, expected):
    got = masses(grid)
    assert all(got.get(minute, 0) == pytest.approx(p, abs=1e-6) for minute, p in expected.items())
    assert grid.p.sum() == pytest.approx(1)


@given(grids(), grids())
def test_a_sum_and_the_later_of_two_go_through_every_pair(one, other):
    assert_same(one.plus(other), combined(one, other, lambda x, y: x + y))
    assert_same(one.later_of(other), combined(one, other, max))


@given(grids(), st.integers(-30, 40))
def test_a_floor_gathers_what_lies_before_it(grid, floor):
    assert_same(grid.no_earlier(floor), combined(grid, MinuteGrid.at(floor), max))


@given(grids(), st.integers(-30, 40))
def test_a_condition_keeps_the_proportions_of_what_is_left(grid, minute):
    given_later = grid.given_at_least(minute)
    assert given_later.first >= min(minute, grid.first)
    left = {at: p for at, p in masses(grid).items() if at >= minute}
    if left:
        assert_same(given_later, {at: p / sum(left.values()) for at, p in left.items()})
    else:
        assert masses(given_later) == {minute: 1.0}


@given(grids(), grids(), st.floats(0, 1))
def test_a_mixture_weighs_its_two_parts(one, other, weight):
    mixed = one.mixed(other, weight)
    assert mixed.mean == pytest.approx((1 - weight) * one.mean + weight * other.mean)


@given(grids(), st.floats(0.01, 0.99))
def test_a_point_is_the_latest_minute_with_at_most_that_chance_before(grid, chance):
    point = grid.point(chance)
    assert grid.chance_before(point) <= chance + 1e-9
    assert point == grid.last or grid.chance_before(point + 1) > chance - 1e-9


def test_a_long_sum_by_transform_is_the_direct_one():
    # scipy.signal's direct convolution as the independent computation.
    rng = np.random.default_rng(1)
    one, other = (MinuteGrid(0, p / p.sum()) for p in (rng.random(400), rng.random(300)))
    direct = signal.convolve(one.p, other.p, method="direct")
    assert_same(one.plus(other), dict(enumerate(direct)))


@pytest.mark.outside
def test_a_rounded_lognormal_is_that_of_scipy():
    # scipy.stats.lognorm as the independent implementation.
    edges = np.arange(0, 202) - 0.5
    expected = np.diff(stats.lognorm.cdf(edges, 0.3, scale=60))
    assert lognormal(np.log(60), 0.3, 200) == pytest.approx(expected / expected.sum(), abs=1e-9)


def test_steps_gather_the_masses_and_keep_the_mean():
    grid = MinuteGrid(100, np.full(20, 0.05))
    steps = grid.steps(5)
    assert [minute for minute, _ in steps] == [102, 107, 112, 117]
    assert sum(minute * mass for minute, mass in steps) == pytest.approx(grid.mean)


def test_mean_and_spread_are_those_of_the_masses():
    grid = MinuteGrid(10, np.array([0.25, 0.5, 0.25]))
    assert (grid.mean, grid.sd, grid.last) == (11.0, pytest.approx(0.5**0.5), 12)
