"""How a search shares its moves between coolings."""

import pytest

from solver.search.schedule import Pace, Round, rounds

HEAT = (1000.0, 5.0)
PACE = Pace(12_000, 6_000)


def test_where_players_have_bags_a_search_goes_by_cycles_and_freezes_in_the_end():
    first, *cycles, last = rounds(HEAT, 40_000, PACE, from_plan=False, bags=True)
    assert (first.hot, last.cold) == HEAT
    assert len(cycles) == 8 and len(set(cycles)) == 1
    assert first.cold == cycles[0].cold == last.hot < cycles[0].hot < first.hot
    assert sum(one.share for one in (first, *cycles, last)) == pytest.approx(1.0)
    assert {one.begins for one in (first, *cycles, last)} == {"own"}


def test_with_few_moves_or_one_racquet_each_it_cools_once():
    assert rounds(HEAT, 7_000, PACE, from_plan=False, bags=True) == [Round(*HEAT)]
    assert rounds(HEAT, 20_000, PACE, from_plan=False, bags=False) == [Round(*HEAT)]


def test_a_plan_is_not_spoilt_where_there_is_no_time_to_mend_it():
    for bags in (True, False):
        assert rounds(HEAT, 5_000, PACE, from_plan=True, bags=bags) == [Round(100.0, 5.0)]


def test_without_bags_further_rounds_begin_with_the_best_and_afresh_in_turns():
    assert [one.begins for one in rounds(HEAT, 50_000, PACE, from_plan=False, bags=False)] == [
        "best",
        "best",
        "fresh",
        "best",
    ]
