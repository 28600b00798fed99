"""Weighted tardiness on one and more machines, against published answers.

Source: OR-Library (J. E. Beasley) and Kowalczyk, Leus, Hojny, Ropke (2024), INFORMS J. Comput.,
doi 10.1287/ijoc.2022.0301, as the README beside the files says.
"""

import json

import pytest

from solver import Points
from solver.search import improve
from tests.solver.make import make_job, make_machine, make_stringer, make_workload
from tests.solver.outside import SHARED

FOLDER = SHARED / "benchmarks"
NO_SHORTCOMINGS = dict.fromkeys(
    ("promise", "extra_stringer", "extra_machine", "away", "over_target", "moved", "waiting"), 0
)
TARDINESS = Points(unplaced=10**9, late=100, late_cap=None, **NO_SHORTCOMINGS)
ALWAYS = ((0, 10**6),)

pytestmark = [
    pytest.mark.outside,
    pytest.mark.skipif(not FOLDER.exists(), reason="the published instances are not beside the repository"),
]


def instances(name, every=1):
    """The instances of a file, by name."""
    rows = json.loads((FOLDER / f"{name}.json").read_text()) if FOLDER.exists() else []
    return [pytest.param(row, id=row["name"]) for row in rows[::every]]


def workload_of(row):
    """An instance as equal stringers, always at work, and jobs with due times and weights."""
    numbers = range(1, row["machines"] + 1)
    return make_workload(
        stringers=tuple(make_stringer(i, home=None, windows=ALWAYS) for i in numbers),
        machines=tuple(make_machine(i) for i in numbers),
        jobs=tuple(
            make_job(i, player=f"P{i}", minutes=minutes, due=due, weight=weight)
            for i, (minutes, due, weight) in enumerate(zip(row["p"], row["d"], row["w"], strict=True))
        ),
    )


def least_tardiness(row, enough, seconds=5):
    """The total that is found within the time, or as soon as it is at most `enough`."""
    found = improve(
        workload_of(row), TARDINESS, None, seconds=seconds, workers=2, on_progress=lambda total: total <= 100 * enough
    )
    return found.total / 100


@pytest.mark.parametrize("row", instances("wt40"))
def test_forty_jobs_on_one_machine_are_solved_to_the_optimum(row):
    assert least_tardiness(row, row["best"]) == row["best"]


@pytest.mark.parametrize("row", instances("wt100"))
def test_a_hundred_jobs_on_one_machine_come_within_one_per_cent(row):
    assert least_tardiness(row, 1.01 * row["best"], seconds=30) <= 1.01 * row["best"]


@pytest.mark.parametrize("row", instances("pm40"))
def test_forty_jobs_on_equal_machines_come_within_one_per_cent_or_a_minute_a_job(row):
    enough = row["best"] + max(0.01 * row["best"], len(row["p"]))
    assert row["best"] <= least_tardiness(row, enough) <= enough
