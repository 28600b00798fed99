"""Where work piles up before the hands."""

from desk.trade.rehearsed.tight_hours import Tight, caught_up, tightest


def test_hands_that_keep_up_are_never_tight():
    assert tightest(480, 0, [30, 60, 30], [2, 2, 2]) is None


def test_work_piles_up_until_it_is_worked_off():
    assert tightest(480, 0, [30, 120, 90, 0, 0], [2, 2, 2, 2, 2]) == Tight(start=510, end=570, over_min=90)


def test_what_waits_already_counts():
    assert tightest(480, 100, [0, 0], [1, 1]) == Tight(start=480, end=510, over_min=70)


def test_the_higher_of_two_piles_is_named():
    found = tightest(0, 0, [60, 0, 0, 200, 0, 0], [1, 1, 1, 1, 1, 1])
    assert found == Tight(start=90, end=120, over_min=170)


def test_the_hands_catch_up_when_the_pile_is_gone_for_good():
    # 90 minutes are left at 570: 60 of them are worked off by 600, the rest within the step that ends at 630.
    assert caught_up(480, 0, [30, 120, 90, 0, 0], [2, 2, 2, 2, 2]) == 630
    assert caught_up(480, 0, [30, 60, 30], [2, 2, 2]) == 480
    assert caught_up(480, 100, [0, 0], [1, 1]) is None
