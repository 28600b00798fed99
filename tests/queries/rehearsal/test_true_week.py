"""A week rehearsed from what was known before it holds what truly came."""

from pathlib import Path

import pytest

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
