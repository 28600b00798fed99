"""The whole model: its total is the recomputed one, and the least there is."""

from dataclasses import replace

from hypothesis import HealthCheck, given, settings

from solver import Points, check_plan
from solver.contract.end_points import later_may_cost_less
from solver.contract.points import HEADINGS
from solver.model.goals import GOALS
from solver.model.solve import solve, total_of
from tests.solver.enumeration import least_total
from tests.solver.make import make_job, make_plan_of, make_stringer, make_workload
from tests.solver.strategies import POINTS, workloads

SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large]


def proved(workload, points):
    """The proved least total of a workload, its draft checked."""
    solved = solve(workload, points, seconds=60, workers=1)
    assert solved.is_optimal
    assert check_plan(workload, make_plan_of(workload, *solved.draft[0], unplaced=solved.draft[1])) == []
    assert solved.bound == total_of(workload, solved.draft, points)
    return solved.bound


def test_there_is_one_goal_for_each_heading():
    assert tuple(GOALS) == HEADINGS
    assert [goal.__name__ for goal in GOALS.values()] == list(HEADINGS)


@settings(max_examples=60, deadline=None, suppress_health_check=SLOW)
@given(workloads(most_jobs=3), POINTS)
def test_the_model_proves_what_enumeration_finds(workload, points):
    workload = replace(workload, points=points)
    if later_may_cost_less(workload):  # then there are too many plans to enumerate
        workload = replace(workload, spread=0)
    assert proved(workload, points) == least_total(workload, points)


def test_a_late_job_costs_no_more_past_the_cap():
    workload = make_workload(stringers=(make_stringer(windows=((600, 700),)),), jobs=(make_job(due=100),))
    assert proved(workload, Points(waiting=0)) == 100 * 120


def test_without_a_cap_a_late_job_costs_all_its_minutes():
    workload = make_workload(stringers=(make_stringer(windows=((600, 700),)),), jobs=(make_job(due=100),))
    assert proved(workload, Points(waiting=0, late_cap=None)) == 100 * 520


def test_a_hint_is_taken_as_it_stands():
    workload = make_workload(3, 2)
    first = solve(workload, Points(), seconds=60, workers=1)
    told = []
    solve(workload, Points(), seconds=60, workers=1, hint=first.draft, found=lambda total, _: told.append(total))
    assert told[0] == first.bound


def test_the_same_seed_and_limit_give_the_same_draft():
    workload = make_workload(8, 2)
    one, two = (solve(workload, Points(), seconds=60, seed=3, workers=1, deterministic=0.2).draft for _ in range(2))
    assert one == two
