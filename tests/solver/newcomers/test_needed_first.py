"""Room for what may still come: what is needed first goes first where that costs little, and every rule is kept."""

from dataclasses import replace

import pytest
from hypothesis import given, settings

from solver import Points, check_plan, make_plan, warm_up
from solver.course import Course, Options
from solver.dispatch import first_come
from solver.judge.costs import cost_of_assignments
from solver.newcomers.needed_first import needed_first, with_room
from solver.search.improve import Found
from tests.solver.make import make_job, make_machine, make_plan_of, make_stringer, make_workload, put
from tests.solver.strategies import POINTS, workloads


def turns(workload, *assignments, spare=1000):
    """Give what is done after what, by the numbers of the jobs."""
    found = needed_first(workload, Points(), assignments, spare=spare)
    assert check_plan(workload, make_plan_of(workload, *found)) == []
    return [int(a.job[1:]) for a in sorted(found, key=lambda a: a.start)]


def two_jobs(first=None, second=None, **over):
    """A racquet that is needed at 400 and one at 200, of two players."""
    jobs = make_job(1, player="P1", due=400, **first or {}), make_job(2, player="P2", due=200, **second or {})
    return make_workload(jobs=jobs, **over)


def test_what_is_needed_first_goes_first():
    assert turns(two_jobs(), put(1, start=0), put(2, start=20)) == [2, 1]


def test_it_passes_all_that_can_wait_longer():
    jobs = tuple(make_job(i, player=f"P{i}", due=due) for i, due in enumerate([400, 300, None, 200, 250], start=1))
    workload = make_workload(jobs=jobs)
    assert turns(workload, *(put(i, start=20 * i) for i in range(1, 6))) == [4, 5, 2, 1, 3]


@pytest.mark.parametrize(("spare", "order"), [(9, [1, 2]), (10, [2, 1])])
def test_a_longer_one_goes_first_only_for_points_that_may_be_spent(spare, order):
    workload = two_jobs(second={"minutes": 30})
    assert turns(workload, put(1, start=0), put(2, start=20, minutes=30), spare=spare) == order


def test_trades_share_the_points_that_may_be_spent():
    jobs = tuple(
        make_job(i, player=f"P{i}", due=due, minutes=m)
        for i, (due, m) in enumerate([(400, 20), (200, 30), (390, 20), (190, 30)], 1)
    )
    workload = make_workload(jobs=jobs, team=2)
    plan = put(1, 1, 0), put(2, 1, 20, 30), put(3, 2, 0), put(4, 2, 20, 30)
    first = [a for a in needed_first(workload, Points(), plan, spare=15) if a.start == 0]
    assert sorted(a.job for a in first) in (["J1", "J4"], ["J2", "J3"])


@pytest.mark.parametrize(
    "workload",
    [
        two_jobs(second={"ready_from": 20}),
        two_jobs(second={"after": ("J1",)}),
        two_jobs(machines=(make_machine(windows=((0, 20), (20, 60))),), second={"minutes": 30}),
        two_jobs(stringers=(make_stringer(windows=((0, 20), (20, 60))),), second={"minutes": 30}),
    ],
    ids=["not there yet", "keeps its turn", "the machine's hours", "the stringer's hours"],
)
def test_a_rule_stands_before_the_order(workload):
    second = put(2, start=20, minutes=workload.job_by_id["J2"].minutes)
    assert turns(workload, put(1, start=0), second) == [1, 2]


def test_racquets_with_time_between_them_stay():
    assert turns(two_jobs(), put(1, start=0), put(2, start=30)) == [1, 2]


@settings(deadline=None, max_examples=60)
@given(workloads(most_jobs=12), POINTS)
def test_any_plan_keeps_every_rule_and_costs_no_more_than_may_be_spent(workload, points):
    assignments, left_out = first_come(workload, points)
    found = needed_first(workload, points, assignments, spare=20)
    assert check_plan(workload, make_plan_of(workload, *found, unplaced=left_out)) == []
    before, after = (sum(cost_of_assignments(workload, a, left_out, points).values()) for a in (assignments, found))
    assert after <= before + 20


def test_a_workload_with_certain_ends_leaves_no_room():
    certain = make_workload(3)
    assert with_room(certain) == certain
    room = with_room(replace(certain, spread=15, points=Points(late=30)))
    assert room.spread == 23
    assert room.points == Points(late=60)


COUNTED = {"seconds": 60, "steps": 20_000, "workers": 1}


@pytest.mark.parametrize(
    "how", [{"seconds": 0.2}, COUNTED, COUNTED | {"bound": False}], ids=["short", "proved", "brief"]
)
def test_a_plan_strings_first_what_is_needed_first(how):
    warm_up()
    dues = [900, 400, 700, 500, 800, 600, 950, 450]
    jobs = tuple(make_job(i, player=f"P{i}", due=due) for i, due in enumerate(dues))
    plan = make_plan(make_workload(jobs=jobs, spread=15), **how)
    assert [dues[int(a.job[1:])] for a in plan.assignments] == sorted(dues)


def test_a_longer_planning_gives_up_little_for_the_order():
    jobs = tuple(make_job(i, player=f"P{i % 7}", due=100 + 37 * i % 300, minutes=18 + i % 9) for i in range(24))
    workload = make_workload(jobs=jobs, team=2, spread=15)
    room = make_plan(workload, **COUNTED | {"steps": 60_000})
    certain = make_plan(workload, **COUNTED | {"steps": 200_000})
    assert check_plan(workload, room) == []
    assert room.total <= 1.02 * certain.total


@pytest.mark.parametrize(
    ("spread", "asked", "leaves_room"),
    [
        (15, {"seconds": 0.3}, True),
        (15, {"seconds": 1.5}, True),
        (15, {"seconds": 5.0}, False),
        (0, {"seconds": 0.3}, False),
        (15, {"seconds": 60, "steps": 10, "bound": False}, True),
        (15, {"seconds": 60, "steps": 10}, False),
    ],
)
def test_room_is_left_in_plans_that_are_soon_replaced(spread, asked, leaves_room):
    options = Options(**{"seed": 0, "workers": 1, "steps": None, "progress": None, "bound": True, "gaps": True} | asked)
    assert Course(make_workload(20, spread=spread), options).leaves_room == leaves_room
    assert not Course(make_workload(4, spread=spread), replace(options, bound=True)).leaves_room


def test_a_search_that_finds_nothing_leaves_the_plan_of_the_quick_rules(monkeypatch):
    workload = make_workload(24, team=2, spread=15)
    nothing = Found(assignments=(), unplaced=tuple(workload.job_by_id), total=0)
    monkeypatch.setattr("solver.search.improve", lambda *given, **how: nothing)
    assert make_plan(workload, **COUNTED | {"bound": False}).unplaced == ()
