"""Dealing the turns of equally long jobs anew: every rule is kept, and all alike come to the optimum."""

from hypothesis import given, settings

from solver import Points, check_plan
from solver.dispatch import first_come
from solver.redeal import are_alike, redeal
from tests.solver.enumeration import least_total
from tests.solver.make import make_job, make_plan_of, make_workload
from tests.solver.strategies import POINTS, workloads


@settings(deadline=None, max_examples=30)
@given(workloads(most_jobs=12), POINTS)
def test_any_draft_dealt_anew_keeps_every_rule(workload, points):
    assignments, left_out = redeal(workload, points, first_come(workload, points))
    assert check_plan(workload, make_plan_of(workload, *assignments, unplaced=left_out)) == []


def test_jobs_all_alike_are_dealt_as_well_as_by_enumeration():
    jobs = tuple(make_job(i, player=f"P{i}", due=due) for i, due in enumerate([80, 40, 60, 20]))
    workload = make_workload(jobs=jobs)
    assert are_alike(workload)
    before = make_plan_of(workload, *first_come(workload, Points())[0])
    after = make_plan_of(workload, *redeal(workload, Points(), (list(before.assignments), []))[0])
    assert after.total == least_total(workload, Points()) < before.total


def test_jobs_of_two_lengths_are_not_alike():
    assert not are_alike(make_workload(jobs=(make_job(1), make_job(2, minutes=30))))
    assert not are_alike(make_workload(stringers=(), machines=()))
