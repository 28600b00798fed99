"""Equal jobs on equal stringers are an assignment of jobs to turns, which scipy solves exactly.

Source: scipy.optimize.linear_sum_assignment (Crouse 2016, IEEE Trans. Aerosp. Electron. Syst. 52:1679-1696).
"""

import random
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from solver import check_plan, make_plan, warm_up
from tests.solver.classic import TARDINESS, classic_workload

pytestmark = [pytest.mark.outside, pytest.mark.slow]
LENGTH = 20
POINTS = replace(TARDINESS, waiting=1)


def equal_jobs(count, team, seed):
    """Due times, weights and releases, the last at the beginnings of turns."""
    rng = random.Random(seed)
    turns = -(-count // team)
    due = [rng.randint(LENGTH, LENGTH * turns) for _ in range(count)]
    weights = [rng.choice([1, 5, 20]) for _ in range(count)]
    releases = [LENGTH * rng.randrange(turns // 2 + 1) for _ in range(count)]
    return due, weights, releases


def least_total(due, weights, releases, team):
    """The least points of giving each job a turn of some stringer; one before its release is out of the question.

    Releases and turns begin at whole lengths, so that any plan can be moved earlier into turns at no cost.
    """
    turns = max(releases) // LENGTH + len(due) // team + 1
    ends = np.repeat(LENGTH * np.arange(1, turns + 1), team)
    rows = []
    for d, w, r in zip(due, weights, releases, strict=True):
        price = POINTS.late * w * np.maximum(0, ends - d) + POINTS.waiting * (ends - r)
        rows.append(np.where(ends - LENGTH >= r, price, 10**9))
    costs = np.array(rows)
    return int(costs[linear_sum_assignment(costs)].sum())


@pytest.mark.parametrize(("count", "team"), [(10, 1), (30, 3), (60, 4), (120, 8), (200, 10), (200, 1)])
def test_equal_jobs_come_to_the_total_of_the_assignment(count, team):
    due, weights, releases = equal_jobs(count, team, seed=count)
    least = least_total(due, weights, releases, team)
    workload = classic_workload([LENGTH] * count, due, weights, releases=releases, team=team)
    warm_up()
    plan = make_plan(workload, seconds=5, points=POINTS, progress=lambda _, total, __: total <= least)
    assert check_plan(workload, plan) == []
    assert plan.bound <= least
    assert plan.total == least
