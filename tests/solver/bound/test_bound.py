"""The bound is never above the best plan, whatever the points."""

import pytest
from hypothesis import HealthCheck, given, settings

from solver import Points
from solver.bound.alone import bound_alone
from solver.bound.ascent import Ascent, lower_bound
from solver.model.solve import solve
from tests.solver.make import make_job, make_stringer, make_workload
from tests.solver.strategies import POINTS, workloads

pytestmark = pytest.mark.slow

SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large]


@settings(max_examples=120, deadline=None, suppress_health_check=SLOW)
@given(workloads(), POINTS)
def test_no_bound_exceeds_the_proved_best(workload, points):
    best = solve(workload, points, seconds=60, workers=1)
    assert best.is_optimal
    assert bound_alone(workload, points) <= best.bound
    assert lower_bound(workload, points, target=best.bound + 1000, rounds=250) <= best.bound


@settings(max_examples=30, deadline=None, suppress_health_check=SLOW)
@given(workloads())
def test_the_bound_holds_at_every_moment(workload):
    best = solve(workload, Points(), seconds=60, workers=1).bound
    ascent, before = Ascent(workload, Points()), -1 << 40
    for _ in range(40):
        bound = ascent.climb(best, rounds=5)
        assert before <= bound <= best
        before = bound


def test_a_queue_at_one_stringer_is_bounded_to_the_point():
    """Four equal jobs in turn wait 20, 40, 60 and 80 minutes."""
    assert lower_bound(make_workload(4), Points(), target=200, rounds=300) == 200


def test_racquets_of_a_player_in_turn_are_bounded_to_the_point():
    """Two racquets at one of three stringers in turn wait 20 and 40 minutes; a second stringer costs more."""
    workload = make_workload(team=3, jobs=(make_job(1), make_job(2)))
    assert lower_bound(workload, Points(), target=60, rounds=400) == 60


def test_many_racquets_of_one_player_are_bounded_too():
    workload = make_workload(team=3, jobs=tuple(make_job(i) for i in range(1, 12)))
    best = solve(workload, Points(), seconds=60, workers=1).bound
    assert 0 < lower_bound(workload, Points(), target=best, rounds=200) <= best


def test_the_same_rounds_give_the_same_bound():
    workload = make_workload(9, 2)
    one, two = (lower_bound(workload, Points(), target=900, rounds=50) for _ in range(2))
    assert one == two


def test_times_too_far_apart_for_minute_prices_are_bounded_job_by_job():
    workload = make_workload(
        jobs=(make_job(1), make_job(2, ready_from=10**8)),
        stringers=(make_stringer(windows=((0, 10**9),)),),
    )
    assert lower_bound(workload, Points(), target=100, rounds=5) == 40


@pytest.mark.parametrize(
    ("job", "team", "total"),
    [
        ({}, 1, 20),
        ({"planned_stringer": "S2", "stringers": ("S1",)}, 2, 320),
        ({"minutes": 40}, 1, 540),
        ({"fresh_from": 60}, 1, 20),
        ({"fresh_from": 60, "due": 30, "weight": 10}, 1, 400),
        ({"stringers": ()}, 1, 100_000),
    ],
)
def test_one_racquet_by_itself_is_bounded_to_the_point(job, team, total):
    """Twenty minutes of waiting; moved as well; ten over the target; fresh; stale, without waiting; left out."""
    assert bound_alone(make_workload(team=team, jobs=(make_job(**job),)), Points()) == total
