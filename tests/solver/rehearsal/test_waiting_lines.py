"""The simulation held against published waiting lines: exponential times, one kind of racquet, no due times."""

import math

import numpy as np
import pytest

from solver.rehearsal import mean_band, play
from tests.solver.rehearsal.make_day import make_day, make_team

pytestmark = pytest.mark.outside
MINUTE = 1000
"""Units of time in a minute, so that whole units do not round the exponential minutes."""
BATCHES, IN_A_BATCH, LEFT_OUT = 20, 6000, 6000


def waits(servers, an_hour, each_an_hour, seed):
    """Minutes that each racquet waited in a long run, the beginning left out."""
    dice, n = np.random.default_rng(seed), BATCHES * IN_A_BATCH + LEFT_OUT
    known = np.cumsum(dice.exponential(60 * MINUTE / an_hour, n)).astype(np.int64)
    minutes = 60 * MINUTE // each_an_hour
    day = make_day(known, minutes=[minutes] * n, factor=dice.exponential(1.0, n))
    team = make_team(servers, windows=((0, 10**11),))
    went = play(day, team, spread=0, target_minutes=10**9, effort=0, most_waiting=1000)
    assert went.strung.all()
    return (went.start - known)[LEFT_OUT:] / MINUTE


def batch_means(values):
    """The mean of each of the batches."""
    return values.reshape(BATCHES, IN_A_BATCH).mean(axis=1)


def erlang_c(servers, load):
    """The chance to wait: Erlang (1917), as in any book on waiting lines."""
    terms = [load**k / math.factorial(k) for k in range(servers)]
    last = load**servers / math.factorial(servers) * servers / (servers - load)
    return last / (sum(terms) + last)


@pytest.mark.parametrize(("servers", "chance"), [(2, 0.245), (3, 0.058), (4, 0.011), (5, 0.002)])
def test_the_chance_to_wait_is_that_of_the_multiple_server_table(servers, chance):
    """Ten an hour, twelve an hour each: a textbook's multiple-server table prints .245, .058, .011, .002."""
    band = mean_band(batch_means((waits(servers, 10, 12, seed=servers) > 0).astype(float)), share=0.99)
    assert band.low - 0.0005 <= chance <= band.high + 0.0005
    assert erlang_c(servers, 10 / 12) == pytest.approx(chance, abs=0.0006)


def test_the_wait_of_three_servers_is_that_of_the_printed_template():
    """Hillier and Lieberman's M/M/s template: 60 an hour, 30 each, 3 servers: 0.01481 h, line 0.8889."""
    band = mean_band(batch_means(waits(3, 60, 30, seed=7)) / 60, share=0.99)
    assert band.holds(0.01481)
    assert (band.high - band.low) / band.middle < 0.35
    assert band.low * 60 <= 0.8889 <= band.high * 60


@pytest.mark.slow
def test_the_chance_to_wait_of_fourteen_servers():
    """100 calls in 30 minutes, 3 minutes each, 14 servers: 0.17413 by a public staffing package's documentation."""
    band = mean_band(batch_means((waits(14, 200, 20, seed=3) > 0).astype(float)), share=0.99)
    assert band.holds(0.17413)
    assert erlang_c(14, 10) == pytest.approx(0.17413, abs=5e-6)


def test_a_server_too_few_is_seen():
    """Two of twelve minutes a racquet are too few for one every five: the line grows without end."""
    dice = np.random.default_rng(1)
    known = np.cumsum(dice.exponential(5, 600)).astype(np.int64)
    day = make_day(known, minutes=[12] * 600, player=list(range(600)))
    waited = play(day, make_team(2, windows=((0, 10**6),)), spread=0, effort=0).start - known
    assert waited[-100:].mean() > 2 * waited[100:200].mean() > 60


def test_of_equals_the_first_to_come_is_served_first():
    went = play(make_day(list(range(0, 60, 5)), minutes=[20] * 12), make_team(1), spread=0, effort=0)
    assert went.start.tolist() == sorted(went.start.tolist())
