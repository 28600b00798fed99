from decimal import Decimal

import pytest

from desk.trade.bench.calibration import Reading, drift, fit_today
from desk.trade.racquet.units import Tension


def read(reference, shown, day=0, unit="lb"):
    return Reading(day, Tension(Decimal(reference), unit), Tension(Decimal(shown), unit))


def test_two_readings_within_the_tolerance_make_a_machine_fit():
    # Before work each day, at two tensions, within 0.5 lb unless the event sets more: common practice.
    assert fit_today([read("50", "50.5"), read("60", "59.5")], 0).fit


def test_a_reading_outside_the_tolerance_takes_the_machine_out():
    fitness = fit_today([read("50", "50"), read("60", "61.5")], 0)
    assert not fitness.fit
    assert fitness.reason == "Set to 60 lb it pulled 61.5 lb: more than 0.5 lb off. Put it right and calibrate again."


@pytest.mark.parametrize(("readings", "count"), [([], 0), ([read("50", "50")], 1), ([read("50", "50")] * 2, 1)])
def test_a_machine_not_read_at_two_tensions_today_is_out(readings, count):
    fitness = fit_today(readings, 0)
    assert not fitness.fit
    assert f"{count} of 2 tensions" in fitness.reason


def test_yesterdays_calibration_does_not_count_today():
    assert not fit_today([read("50", "50"), read("60", "60")], 1).fit


def test_the_last_reading_at_a_tension_counts():
    put_right = [read("50", "52"), read("60", "60"), read("50", "50")]
    assert fit_today(put_right, 0).fit
    assert not fit_today(put_right[::-1], 0).fit


def test_a_tighter_tolerance_is_a_setting():
    readings = [read("50", "50.7"), read("60", "60")]
    assert fit_today(readings, 0, Decimal(1)).fit
    assert not fit_today(readings, 0, Decimal("0.5")).fit


def test_the_tolerance_itself_may_stand_in_any_unit():
    # 1 lb = 0.453 592 37 kg exactly (NIST SP 811 (2008), App. B.8).
    assert read("24", "24.45359237", unit="kg").within(Decimal(1))
    assert not read("24", "24.45359238", unit="kg").within(Decimal(1))


def test_fewer_than_three_days_make_no_trend():
    assert drift([read("50", "50", day) for day in (0, 0, 1)]) is None


def test_a_steady_drift_is_found_and_foreseen():
    trend = drift([read("50", str(50 + Decimal("0.2") * day), day) for day in range(4)], Decimal(1))
    assert trend.lb_a_day == pytest.approx(0.2)
    assert trend.last_error_lb == pytest.approx(0.6)
    assert trend.days_left == 3


def test_a_machine_without_drift_has_no_last_day():
    trend = drift([read("50", "50.1", day) for day in range(5)])
    assert (trend.lb_a_day, trend.days_left) == (pytest.approx(0), None)


def test_a_machine_already_outside_has_no_days_left():
    assert drift([read("50", str(50 + day), day) for day in range(3)]).days_left == 0
