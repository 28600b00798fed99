"""Costs by heading, worked out by hand from the table of points."""

from dataclasses import replace

import pytest

from solver import Points, cost_of
from solver.contract.workload import History
from solver.judge.costs import leaving_out_cost
from tests.solver.make import make_job, make_machine, make_plan_of, make_stringer, make_workload, put


def costs(workload, *assignments, unplaced=(), **points):
    """The headings that cost something."""
    plan = make_plan_of(workload, *assignments, unplaced=unplaced)
    return {k: v for k, v in cost_of(workload, plan, Points(waiting=0, **points)).items() if v}


def test_a_job_in_time_at_home_costs_its_waiting_alone():
    workload = make_workload(jobs=(make_job(ready_from=10, due=40, promised=40),))
    assert cost_of(workload, make_plan_of(workload, put(start=20)))["waiting"] == 30
    assert costs(workload, put(start=20)) == {}


@pytest.mark.parametrize(("end", "points"), [(60, 0), (61, 500), (180, 60_000), (200, 60_000)])
def test_lateness_costs_by_weight_up_to_the_cap(end, points):
    workload = make_workload(jobs=(make_job(due=60, weight=5),))
    assert costs(workload, put(start=end - 20)).get("late", 0) == points


@pytest.mark.parametrize(
    ("end", "points"), [(60, 0), (61, 100), (70, 1_000), (71, 1_500), (190, 61_000), (200, 61_000)]
)
def test_between_due_and_latest_lateness_costs_a_fifth(end, points):
    workload = make_workload(jobs=(make_job(due=60, latest=70, weight=5),))
    assert costs(workload, put(start=end - 20)).get("late", 0) == points


def test_a_racquet_strung_before_it_would_be_fresh_costs_once_and_waits_for_nothing():
    workload = make_workload(jobs=(make_job(fresh_from=100),))
    assert costs(workload, put(start=99)) == {"stale": 400}
    assert costs(workload, put(start=100)) == {}
    assert cost_of(workload, make_plan_of(workload, put(start=70)))["waiting"] == 0
    assert cost_of(workload, make_plan_of(workload, put(start=90)))["waiting"] == 10


def test_a_bag_from_two_kinds_of_machine_costs():
    machines = (make_machine(1, kind="lockout"), make_machine(2, kind="constant pull"), make_machine(3))
    workload = make_workload(team=2, jobs=(make_job(1), make_job(2)), machines=machines)
    assert costs(workload, put(1), put(2, stringer=2))["extra_kind"] == 2000
    assert "extra_kind" not in costs(workload, put(1), put(2, start=20, machine=3))
    own = replace(workload, history={"P1": History(machines=("M2", "gone"))})
    assert costs(own, put(1), put(2, start=20))["extra_kind"] == 2000


def test_a_job_left_out_costs_as_if_it_came_at_the_cap_past_latest():
    workload = make_workload(jobs=(make_job(due=60, latest=70, weight=5),))
    assert costs(workload, unplaced=["J1"]) == {"unplaced": 100_000 + 100 * 10 + 60_000}


def test_prices_come_with_the_workload_unless_others_are_asked_for():
    workload = make_workload(jobs=(make_job(promised=30),), points=Points(promise=30))
    plan = make_plan_of(workload, put(start=15))
    assert cost_of(workload, plan)["promise"] == 150
    assert cost_of(workload, plan, Points())["promise"] == 500


def test_a_broken_promise_costs_by_the_minute():
    workload = make_workload(jobs=(make_job(promised=30),))
    assert costs(workload, put(start=15)) == {"promise": 500}


def test_the_first_stringer_of_a_new_player_is_free():
    workload = make_workload(team=2, jobs=(make_job(1), make_job(2)))
    assert costs(workload, put(1), put(2, start=20)) == {}
    assert costs(workload, put(1), put(2, stringer=2)) == {"extra_stringer": 1500, "extra_machine": 500}


def test_everybody_beyond_the_history_costs():
    past = {"P1": History(stringers=("S2",), machines=("M1",))}
    workload = make_workload(team=2, jobs=(make_job(1), make_job(2)), history=past)
    assert costs(workload, put(1), put(2, start=20)) == {"extra_stringer": 1500}


def test_a_machine_away_from_home_costs():
    workload = make_workload(team=2, jobs=(make_job(),))
    assert costs(workload, put(machine=2)) == {"away": 200}


def test_nobody_without_a_home_is_away():
    workload = make_workload(stringers=(make_stringer(home=None),), machines=(make_machine(1),))
    assert costs(workload, put()) == {}


def test_minutes_beyond_the_target_cost():
    workload = make_workload(jobs=(make_job(minutes=33),))
    assert costs(workload, put(minutes=33)) == {"over_target": 150}


def test_leaving_the_planned_stringer_costs_even_one_who_is_gone():
    workload = make_workload(jobs=(make_job(planned_stringer="S9"),))
    assert costs(workload, put()) == {"moved": 300}


def test_a_job_left_out_costs_as_if_it_came_at_the_cap():
    workload = make_workload(jobs=(make_job(due=60, weight=5),))
    assert costs(workload, unplaced=["J1"]) == {"unplaced": 160_000}


def test_a_job_left_out_without_due_costs_no_more_than_its_price():
    assert costs(make_workload(), unplaced=["J1"]) == {"unplaced": 100_000}


def test_without_a_cap_leaving_out_costs_as_much_as_the_last_minute_would():
    workload = make_workload(jobs=(make_job(due=60, weight=2),))
    points = Points(unplaced=0, late_cap=None)
    assert leaving_out_cost(workload, workload.jobs[0], points) == 2 * 100 * (960 - 60)


@pytest.mark.parametrize("value", [-1, 1.5, True, "7", None])
def test_points_are_whole_numbers_of_nought_or_more(value):
    with pytest.raises(ValueError, match="late: points are whole numbers of 0 or more"):
        Points(late=value)


def test_every_figure_may_be_nought_and_the_cap_absent():
    headings = [name for name in Points.__dataclass_fields__ if name != "late_cap"]
    free = Points(**dict.fromkeys(headings, 0), late_cap=None)
    assert free.late_cap is None
    assert sum(getattr(free, name) for name in headings) == 0
