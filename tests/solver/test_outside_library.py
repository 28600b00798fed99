"""Small workloads against PyJobShop on what it can state: due times, weights, releases and who may.

Source: PyJobShop (https://pypi.org/project/pyjobshop), its weighted total tardiness proved optimal by its own model.
"""

import random

import pytest

from solver import make_plan
from tests.solver.classic import TARDINESS, classic_workload

pytestmark = pytest.mark.outside
pyjobshop = pytest.importorskip("pyjobshop", reason="the scheduling library pyjobshop is not installed")


def random_problem(seed):
    """Up to nine jobs on up to three stringers: processing, due, weights, releases, team, who may."""
    rng = random.Random(seed)
    count, team = rng.randint(5, 9), rng.randint(1, 3)
    people = [f"S{i}" for i in range(1, team + 1)]
    processing = [rng.randint(5, 40) for _ in range(count)]
    releases = [rng.randint(0, 60) for _ in range(count)]
    due = [r + p + rng.randint(0, 40) for r, p in zip(releases, processing, strict=True)]
    weights = [rng.choice([1, 5, 20]) for _ in range(count)]
    eligible = [tuple(sorted(rng.sample(people, rng.randint(1, team)))) for _ in range(count)]
    return processing, due, weights, releases, team, eligible


def least_tardiness(processing, due, weights, releases, team, eligible):
    """The proved least weighted tardiness by the library."""
    model = pyjobshop.Model()
    benches = {f"S{i}": model.add_machine(name=f"S{i}") for i in range(1, team + 1)}
    for p, d, w, r, who in zip(processing, due, weights, releases, eligible, strict=True):
        job = model.add_job(weight=w, release_date=r, due_date=d)
        task = model.add_task(job=job)
        for stringer in who:
            model.add_mode(task, benches[stringer], duration=p)
    model.set_objective(weight_total_tardiness=1)
    result = model.solve(display=False, time_limit=60, num_workers=1)
    assert result.status.value == "Optimal"
    return round(result.objective)


@pytest.mark.parametrize("seed", range(12))
def test_a_proved_plan_is_as_late_as_the_library_finds(seed):
    processing, due, weights, releases, team, eligible = random_problem(seed)
    workload = classic_workload(processing, due, weights, releases=releases, team=team, eligible=eligible)
    plan = make_plan(workload, seconds=60, workers=1, steps=50_000, points=TARDINESS)
    assert plan.status == "optimal"
    assert plan.total == 100 * least_tardiness(processing, due, weights, releases, team, eligible)
