"""A week rehearsed from what was known before it holds what truly came."""

from dataclasses import replace
from pathlib import Path

import pytest

from tests.queries.rehearsal.held_back_week import came, shares
from tests.queries.rehearsal.true_week import inside, rehearsed, true_week, truly_played

pytestmark = pytest.mark.slow

SAMPLE = Path(__file__).parents[3] / "sample_events" / "harbour-week"


@pytest.fixture(scope="module")
def week():
    return true_week(SAMPLE)


@pytest.fixture(scope="module")
def said(week):
    return rehearsed(week, 40)


@pytest.mark.parametrize("noise", [1001, 1002])
def test_four_in_five_true_figures_lie_in_their_bands(week, said, noise):
    found = inside(week, said, truly_played(week, noise))
    every = [one for some in found.values() for one in some]
    assert sum(every) / len(every) >= 0.8, {name: sum(some) / len(some) for name, some in found.items()}


def test_string_and_racquets_of_the_week_are_near_the_middle(week, said):
    true = truly_played(week, 1001)
    assert sum(use.metres.middle for use in said.strings) == pytest.approx(float(true.metres.sum()), rel=0.15)
    assert said.teams[0].racquets.middle == pytest.approx(int(true.racquets.sum()), rel=0.15)


@pytest.mark.parametrize("seed", range(6))
def test_a_week_drawn_apart_from_what_was_known_lies_in_the_bands(week, said, seed):
    share = shares(week, said, came(week, seed))
    print(f"week {seed}: " + ", ".join(f"{name} {value:.0%}" for name, value in share.items()))
    assert share["all"] >= 0.8
    assert share["load"] >= 0.8


def test_a_week_with_twice_the_racquets_does_not_lie_in_them(week, said):
    habits = week.picture.habits
    twice = replace(habits, racquets=tuple(2 * count for count in habits.racquets))
    other = replace(week, picture=replace(week.picture, habits=twice))
    assert shares(week, said, came(other, 0))["all"] < 0.7
