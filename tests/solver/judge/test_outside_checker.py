"""Rules and points of random small workloads, as the independent checker sees them.

Source: the checker `check_plan.py`, which lies beside the repository and has no code of the project.
"""

import json
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from solver import check_plan, cost_of
from solver.dispatch import earliest_due, first_come
from tests.solver.make import make_plan_of
from tests.solver.outside import checker, needs_shared
from tests.solver.strategies import POINTS, workloads

pytestmark = [pytest.mark.outside, needs_shared]


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(workloads(), POINTS, st.sampled_from([first_come, earliest_due]))
@pytest.mark.slow
def test_the_points_of_a_plan_are_those_of_the_checker(workload, prices, rule):
    workload = replace(workload, points=replace(prices, late_cap=120))
    assignments, left_out = rule(workload, workload.points)
    plan = make_plan_of(workload, *assignments, unplaced=left_out)
    told, data, check = plan.to_dict(), json.loads(json.dumps(workload.to_dict())), checker()
    assert list(check.breaches(data, told)) == check_plan(workload, plan) == []
    assert check.score(data, told) == cost_of(workload, plan) | {"total": plan.total}
