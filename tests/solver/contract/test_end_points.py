"""Points by end: one table, one scalar, and the independent definition agree to the point."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver import Points, Workload
from solver.contract.end_points import QUEUE_MOST, end_points, late_points, later_may_cost_less, promise_points
from tests.solver.make import make_job
from tests.solver.outside import checker, needs_shared

TIMES = st.none() | st.integers(0, 900)
JOBS = st.builds(
    make_job,
    due=TIMES,
    latest=TIMES,
    promised=TIMES,
    weight=st.sampled_from([0, 1, 3, 5, 10, 20]),
)
WORKLOADS = st.builds(Workload, now=st.integers(0, 400), spread=st.sampled_from([0, 1, 15, 40, 100]))
PRICES = st.builds(
    Points,
    late=st.sampled_from([0, 7, 100]),
    promise=st.sampled_from([0, 30, 101]),
    late_cap=st.sampled_from([120, 9, None]),
)


@settings(deadline=None)
@given(WORKLOADS, JOBS, PRICES)
def test_the_table_gives_what_each_end_costs(workload, job, points):
    ends = np.arange(workload.now + 1, workload.now + 1500)
    by_one = [late_points(workload, job, e, points) + promise_points(workload, job, e, points) for e in ends.tolist()]
    assert end_points(workload, job, points).at(ends).tolist() == by_one


@needs_shared
@pytest.mark.outside
@settings(deadline=None)
@given(WORKLOADS, JOBS, st.integers(0, 1800))
def test_an_end_costs_what_the_independent_definition_says(workload, job, end):
    check = checker()
    told = {"due": job.due, "latest": job.latest, "weight": job.weight}
    sd = check.deviation({"now": workload.now, "spread": workload.spread}, end)
    assert late_points(workload, job, end, Points()) == check.points_late(told, end, sd, 100)
    assert promise_points(workload, job, end, Points()) == check.points_past(end, job.promised, sd, 100)


def test_no_end_before_a_time_is_later_than_the_least_from_it():
    workload, job = Workload(now=300, spread=100), make_job(due=100, weight=20)
    row = end_points(workload, job, Points())
    costs = row.at(np.arange(301, 900))
    assert [row.least_from(e) for e in (301, 320, 500)] == [costs[e - 301 :].min() for e in (301, 320, 500)]


def test_a_racquet_planned_to_the_minute_is_late_every_second_time():
    """Half of a normal end is past its middle: s / sqrt(2 pi) minutes in the mean."""
    workload, job = Workload(now=0, spread=15), make_job(due=480, weight=10)
    deviation = 0.15 * (20 * 480) ** 0.5
    assert late_points(workload, job, 480, Points()) == round(1000 * deviation / (2 * np.pi) ** 0.5)


@settings(deadline=None, max_examples=300)
@given(WORKLOADS, JOBS, PRICES)
def test_a_later_end_costs_less_only_where_it_is_said_to(workload, job, points):
    workload = replace(workload, jobs=(job,), points=points)
    costs = end_points(workload, job, points).at(np.arange(workload.now + 1, workload.now + 1500))
    from_when = QUEUE_MOST if later_may_cost_less(workload) else 0
    assert (np.diff(costs)[from_when:] >= 0).all()
