import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from desk.trade.errors import UnitError
from desk.trade.racquet.string_length import Head, Metres, Pattern, learned_factors, string_length
from desk.trade.racquet.units import parse_area_cm2, parse_length


def head_of(square_inches):
    return Head.from_area(float(parse_area_cm2(f"{square_inches} sq in")))


def metres(text):
    return float(parse_length(text).in_m)


OPEN, DENSE = Pattern(mains=16, crosses=19), Pattern(mains=18, crosses=20)


@pytest.mark.parametrize(
    ("square_inches", "pattern", "expected"), [(98, DENSE, 12.1), (100, OPEN, 11.3), (93, OPEN, 11.0)]
)
def test_the_model_gives_the_usual_estimates(square_inches, pattern, expected):
    # Derived from common practice: 98 sq in 18x20 12.1 m, 100 sq in 16x19 11.3 m, 93 sq in 16x19 11.0 m.
    assert string_length(head_of(square_inches), pattern).total_m == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize("pattern", [OPEN, DENSE])
def test_the_chords_average_the_usual_shares_of_the_head(pattern):
    # Derived from common practice: 0.88 of the length for mains, 0.84 of the width for crosses.
    head = head_of(98)
    length = string_length(head, pattern)
    mains = (100 * length.mains - 70 - 4 * (pattern.mains - 1)) / pattern.mains / head.length_cm
    crosses = (100 * length.crosses - 65 - 4 * (pattern.crosses - 1)) / pattern.crosses / head.width_cm
    assert (mains, crosses) == (pytest.approx(0.88, abs=0.005), pytest.approx(0.84, abs=0.005))


def test_the_sum_of_chords_is_the_integral_of_the_ellipse():
    # Numerically integrated ellipse as the independent computation.
    u = np.linspace(-0.8, 0.8, 200_001)
    mean_chord = np.sqrt(1 - u**2).mean()
    head = head_of(98)
    mains = 100 * string_length(head, DENSE).mains - 70 - 4 * 17
    assert mains == pytest.approx(18 * mean_chord * head.length_cm, rel=0.002)


@pytest.mark.parametrize("square_inches", [93, 95, 98, 100])
def test_a_set_is_enough_for_a_racquet(square_inches):
    # A set is 12 m, sold as 40 ft = 12.192 m: common practice.
    assert string_length(head_of(square_inches), OPEN, pieces=1).total_m <= 12.0
    assert string_length(head_of(square_inches), DENSE, pieces=1).total_m <= metres("40 ft")


@pytest.mark.parametrize("square_inches", [93, 95, 98, 100])
def test_pre_cut_hybrids_are_enough_for_an_open_pattern(square_inches):
    # Hybrid, pre-cut: 22 ft mains + 18 ft crosses: common practice.
    length = string_length(head_of(square_inches), OPEN)
    assert length.mains <= metres("22 ft")
    assert length.crosses <= metres("18 ft")


def test_a_measured_racquet_of_93_square_inches_lies_near_the_model():
    # A stringer's note: 93 sq in, 20 ft mains + 16.5 ft crosses were enough.
    length = string_length(head_of(93), OPEN)
    assert length.mains <= metres("20 ft")
    assert length.total_m <= metres("36.5 ft")
    assert length.crosses == pytest.approx(metres("16.5 ft"), rel=0.05)


@pytest.mark.parametrize("square_inches", [93, 98, 100, 105])
@pytest.mark.parametrize("pattern", [OPEN, DENSE])
def test_the_rule_of_thumb_for_mains_is_near(square_inches, pattern):
    # Mains, rule of thumb: head length x (number of mains + 1): common practice.
    head = head_of(square_inches)
    rule = head.length_cm * (pattern.mains + 1) / 100
    assert string_length(head, pattern).mains == pytest.approx(rule, rel=0.08)


def test_a_reel_sold_by_the_foot_is_a_little_longer():
    # 660 ft = 201.168 m (NIST SP 811 (2008), App. B.8: foot 0.3048 m).
    assert metres("660 ft") == pytest.approx(201.168)


@pytest.mark.outside
@given(
    length=st.floats(28, 39.4),
    width=st.floats(20, 29.2),
    mains=st.sampled_from([14, 16, 18]),
    crosses=st.integers(17, 21),
)
def test_no_racquet_within_the_rules_takes_more_than_full_strings(length, width, mains, crosses):
    # ITF Rules of Tennis, Rule 4 and Appendix II: hitting surface at most 39.4 x 29.2 cm.
    if width > length:
        length, width = width, length
    strings = string_length(Head(length_cm=length, width_cm=width), Pattern(mains=mains, crosses=crosses))
    most = (mains * 39.4 + crosses * 29.2 + 4 * (mains + crosses - 2) + 135) / 100
    assert strings.total_m < most


def test_the_longer_head_takes_more_mains_and_the_wider_more_crosses():
    usual, long = (string_length(Head(length_cm=size, width_cm=25), OPEN) for size in (32, 34))
    wide = string_length(Head(length_cm=32, width_cm=26), OPEN)
    assert (long.mains > usual.mains, long.crosses) == (True, usual.crosses)
    assert (wide.mains, wide.crosses > usual.crosses) == (usual.mains, True)


def test_one_piece_saves_the_end_that_starts_the_crosses():
    one, two = (string_length(head_of(98), OPEN, pieces=pieces) for pieces in (1, 2))
    assert two.total_m - one.total_m == pytest.approx(0.30)


def test_a_machine_with_a_longer_reach_takes_more():
    near, far = (string_length(head_of(98), OPEN, reach_cm=reach) for reach in (35, 45))
    assert far.total_m - near.total_m == pytest.approx(0.30)


def test_without_measurements_the_model_stands():
    factors = learned_factors([])
    assert (factors.mains, factors.crosses, factors.n) == (1.0, 1.0, 0)


def test_measured_jobs_pull_the_model_more_the_more_there_are():
    computed = string_length(head_of(98), OPEN)
    used = Metres(1.1 * computed.mains, 0.95 * computed.crosses)
    few, many = learned_factors([(used, computed)] * 2), learned_factors([(used, computed)] * 200)
    assert 1.0 < few.mains < many.mains == pytest.approx(1.1, abs=0.01)
    assert many.crosses == pytest.approx(0.95, abs=0.01)
    assert string_length(head_of(98), OPEN, factors=many).mains == pytest.approx(used.mains, rel=0.01)


def test_one_slip_of_the_decimal_point_moves_the_model_little():
    computed = string_length(head_of(98), OPEN)
    slip = Metres(10 * computed.mains, computed.crosses)
    assert learned_factors([(slip, computed)]).mains < 1.1


@pytest.mark.parametrize("size", [(25, 32), (5, 4), (60, 30)])
def test_a_head_that_cannot_be_is_refused(size):
    with pytest.raises(UnitError, match="Head"):
        Head(length_cm=size[0], width_cm=size[1])


@pytest.mark.parametrize("strings", [(16, 0), (9, 19), (16, 40)])
def test_a_pattern_that_cannot_be_is_refused(strings):
    with pytest.raises(UnitError, match="Pattern"):
        Pattern(mains=strings[0], crosses=strings[1])
