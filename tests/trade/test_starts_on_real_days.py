"""Starts computed for real match days: as often early as they say.

The result tables are those of "Tennis databases, files, and algorithms", Jeff Sackmann / Tennis Abstract (CC
BY-NC-SA 4.0), or others of the same columns; they stay outside the repository. The published figures come from
2021-24, doubles from 2016-20; singles of 2016-19 lasted 6 to 9 % less, which is what the event's setting is for.
"""

import os
from pathlib import Path

import pytest

from tests.trade.court_days import court_days, measure
from tests.trade.match_tables import read_matches, read_matches_by_set

BESIDE = Path(__file__).parents[3] / "shared" / "match_tables"
FOLDER = Path(os.environ.get("DESK_MATCH_DATA") or BESIDE)
ENOUGH, EVENTS = 400, 72
SINGLES, DOUBLES = {"men_3", "women_3", "men_5"}, {"doubles"}

pytestmark = [
    pytest.mark.outside,
    pytest.mark.skipif(not FOLDER.is_dir(), reason="no result tables: name their folder in DESK_MATCH_DATA"),
]


def sample(matches, formats):
    """The matches of these formats at a fixed sample of the events."""
    kept = [match for match in matches if match.format in formats]
    events = sorted({match.event for match in kept})
    chosen = set(events[:: max(1, len(events) // EVENTS)])
    return [match for match in kept if match.event in chosen]


def groups(measured, grouping):
    large = {key: tally for key, tally in measured.tallies.items() if key[1] == grouping and tally.n >= ENOUGH}
    if not large:
        pytest.skip(f"the result tables have no group of {ENOUGH} starts for this")
    return large


def outside(large):
    return {key: (tally.n, *tally.shares) for key, tally in large.items() if not tally.holds}


@pytest.mark.parametrize(
    ("first", "last", "formats", "usual"),
    [(2021, 9999, SINGLES, 1.0), (2016, 2019, SINGLES, 0.93), (2016, 2020, DOUBLES, 1.0)],
    ids=["singles since 2021", "singles 2016-19, set to 93 per cent", "doubles"],
)
def test_real_matches_start_before_their_points_as_often_as_said(first, last, formats, usual):
    matches = sample(read_matches(FOLDER, first, last), formats)
    assert outside(groups(measure(court_days(matches), usual), "format")) == {}


def test_grass_is_met_by_the_setting_of_the_event():
    matches = [match for match in read_matches(FOLDER, 2021) if match.surface == "Grass"]
    assert outside(groups(measure(court_days(matches), 0.96), "format")) == {}


def test_an_event_learns_from_its_own_matches_what_was_set_wrong():
    matches = sample(read_matches(FOLDER, 2016, 2019), SINGLES)
    learned, stubborn = (
        groups(measure(court_days(matches), 1.15, learn=learn), "all")["match before begun", "all", ""].shares
        for learn in (True, False)
    )
    assert 0.35 <= learned[1] <= 0.65 < stubborn[1]


def test_real_sets_played_so_far_leave_the_points_true():
    large = groups(measure(court_days(read_matches_by_set(FOLDER))), "all")
    assert outside(large) == {}
    assert any("sets known" in known for known, _, _ in large)
