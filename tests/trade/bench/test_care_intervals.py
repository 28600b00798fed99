"""How much of its interval a check has used, by racquets and by hours; the usual intervals are common practice."""

import pytest

from desk.trade.bench.care_intervals import DEFAULTS, interval_faults, share_used


@pytest.mark.parametrize(
    ("racquets", "hours", "every_racquets", "every_hours", "share"),
    [
        (20, 9.0, 40, None, 0.5),
        (20, 9.0, None, 10, 0.9),
        (20, 9.0, 40, 10, 0.9),  # the further of the two
        (40, 9.0, 40, 100, 1.0),  # due by racquets
        (0, 0.0, 40, 10, 0.0),
        (500, 300.0, None, None, 0.0),  # without an interval nothing is due
    ],
)
def test_the_further_of_racquets_and_hours_counts(racquets, hours, every_racquets, every_hours, share):
    assert share_used(racquets, hours, every_racquets, every_hours) == pytest.approx(share)


def test_the_usual_checks_can_stand_on_a_list():
    assert [interval_faults(one.name, one.every_racquets, one.every_hours) for one in DEFAULTS] == [{}] * len(DEFAULTS)
    assert len({one.name.casefold() for one in DEFAULTS}) == len(DEFAULTS)


def test_a_day_at_a_peak_stays_within_the_first_interval():
    # A stringer's day is 20 to 25 racquets, 30 to 40 at peaks (press reports): cleaning falls between two days.
    assert min(one.every_racquets for one in DEFAULTS if one.every_racquets) >= 40
