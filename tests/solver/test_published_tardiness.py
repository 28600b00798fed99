"""Published instances of total weighted tardiness, planned and held against their known answers.

Source: OR-Library (J. E. Beasley), weighted tardiness, by way of the mirror of V. A. Cicirello (2020), and its
form for equal machines in parallel (Pessoa, Uchoa, Poggi de Aragao, Rodrigues 2010, Math. Prog. Comp. 2:259-290;
data of Kowalczyk, Leus, Hojny, Ropke 2024, INFORMS J. Comput., doi 10.1287/ijoc.2022.0301).
"""

import json
import os
import random

import pytest

from solver import check_plan, make_plan, warm_up
from tests.solver.classic import TARDINESS, classic_workload
from tests.solver.outside import SHARED

BENCHMARKS = SHARED / "benchmarks"
SECONDS, SEEDS = 5, 6
"""The limit of one planning, and how many seeds are tried before an instance counts as missed: a busy machine
gives a planning less than its seconds. The first seed is enough nearly always."""
SAMPLE = {"wt40": 20, "wt100": 8, "pm40": 10}
"""Instances in a usual run; DESK_ALL_INSTANCES=1 takes them all."""

pytestmark = [pytest.mark.outside, pytest.mark.slow]


def instances(name):
    """The instances of a file, or a sample of them; one that says why where the file is absent."""
    path = BENCHMARKS / f"{name}.json"
    if not path.exists():
        absent = pytest.mark.skip(reason=f"benchmarks/{name}.json is not beside the repository")
        return [pytest.param(None, marks=absent, id="absent")]
    rows = json.loads(path.read_text())
    if not os.environ.get("DESK_ALL_INSTANCES"):
        rows = random.Random(name).sample(rows, SAMPLE[name])
    return [pytest.param(row, id=row["name"]) for row in rows]


@pytest.fixture(scope="module", autouse=True)
def _warm():
    """Compile the search before anybody is held to a time limit."""
    warm_up()


def tardiness_reached(row, goal):
    """The least total weighted tardiness that the seeds plan, ended as soon as it is at most the goal."""
    workload = classic_workload(row["p"], row["d"], row["w"], team=row["machines"])
    reached = []
    for seed in range(SEEDS):
        plan = make_plan(
            workload,
            seconds=SECONDS,
            seed=seed,
            points=TARDINESS,
            progress=lambda _, total, __: total <= 100 * goal,
        )
        assert check_plan(workload, plan) == []
        assert plan.unplaced == ()
        assert plan.bound <= 100 * row["best"]
        assert plan.total % 100 == 0
        reached.append(plan.total // 100)
        if reached[-1] <= goal:
            break
    return min(reached)


@pytest.mark.parametrize("row", instances("wt40"))
def test_forty_jobs_on_one_machine_come_to_the_optimum(row):
    assert tardiness_reached(row, row["best"]) == row["best"]


@pytest.mark.parametrize("row", instances("wt100"))
def test_a_hundred_jobs_on_one_machine_come_within_a_hundredth_of_the_best_known(row):
    assert row["best"] <= tardiness_reached(row, 1.01 * row["best"]) <= 1.01 * row["best"]


@pytest.mark.parametrize("row", instances("pm40"))
def test_forty_jobs_on_two_and_four_machines_come_within_a_hundredth_or_a_minute_a_job(row):
    assert row["proved"]
    enough = row["best"] + max(0.01 * row["best"], len(row["p"]))
    assert row["best"] <= tardiness_reached(row, enough) <= enough
