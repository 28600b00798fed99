"""Every rule three times: it holds trivially, the forbidden is refused, its neighbour passes.

Each is asked of the check and of the model: both must say the same.
"""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from ortools.sat.python import cp_model

from solver import Points, check_plan
from solver.contract.workload import Started
from solver.dispatch import earliest_due
from solver.judge.check import CHECKS
from solver.model.rules import RULES
from solver.model.solve import build
from tests.solver.make import make_job, make_machine, make_plan_of, make_stringer, make_workload, put
from tests.solver.strategies import workloads


def broken_rules(workload, *assignments, unplaced=()):
    """The names of the rules that the checks see broken."""
    plan = make_plan_of(workload, *assignments, unplaced=unplaced)
    return {fault.rule for fault in check_plan(workload, plan)}


def model_allows(workload, *assignments, unplaced=()):
    """Whether the model has a solution with exactly these assignments."""
    model = cp_model.CpModel()
    variables = build(model, workload, Points(), orders_equal_jobs=False)
    for job in unplaced:
        model.add(variables.planned[job] == 0)
    for a in assignments:
        model.add(variables.at_bench[a.job, a.stringer, a.machine] == 1)
        model.add(variables.start[a.job] == a.start)
        model.add(variables.end[a.job] == a.end)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    return solver.solve(model) in (cp_model.OPTIMAL, cp_model.FEASIBLE)


def test_rules_and_checks_have_the_same_names_in_the_same_order():
    assert [rule.__name__ for rule in RULES] == [check.__name__ for check in CHECKS]


@pytest.mark.parametrize("rule", [*RULES, *CHECKS])
def test_each_rule_says_in_one_sentence_what_it_asks(rule):
    assert rule.__doc__.count(".") == 1


TWO = make_workload(2)
STARTED = make_workload(
    jobs=(make_job(1, started=Started(stringer="S1", machine="M1", start=-10, end=15)), make_job(2))
)
READY = make_workload(jobs=(make_job(ready_from=30),), now=10)
SLOW = make_workload(stringers=(make_stringer(pace=110),))
SPLIT = make_workload(stringers=(make_stringer(windows=((0, 30), (30, 60), (900, 960))),))
OUT = make_workload(machines=(make_machine(windows=((0, 25), (40, 80))),))
LISTED = make_workload(team=2, jobs=(make_job(stringers=("S2",), machines=("M1", "M2")),))
PINNED = make_workload(team=2, jobs=(make_job(pinned_stringer="S2", pinned_machine="M1"),))
SHARED = make_workload(2, 2)
TURNS = make_workload(team=2, jobs=(make_job(1, after=("J2",)), make_job(2)))

CASES = [
    ("every_job_once", TWO, [put(1), put(2, start=20)], [put(1)], [put(1), put(2, start=200)]),
    ("started_jobs_stand", STARTED, None, [put(1, start=0), put(2, start=40)], None),
    ("not_before_ready", READY, [put(start=100)], [put(start=29)], [put(start=30)]),
    ("takes_bench_time", SLOW, [put(minutes=22)], [put(minutes=20)], [put(start=5, minutes=22)]),
    ("within_stringer_hours", SPLIT, [put(start=0)], [put(start=20)], [put(start=30)]),
    ("within_machine_hours", OUT, [put(start=0)], [put(start=10)], [put(start=40)]),
    ("goes_where_it_may", LISTED, [put(stringer=2)], [put(stringer=1)], [put(stringer=2, machine=1)]),
    (
        "goes_where_it_may",
        PINNED,
        [put(stringer=2, machine=1)],
        [put(stringer=2)],
        [put(stringer=2, machine=1, start=7)],
    ),
    (
        "keeps_its_turn",
        TURNS,
        [put(1, stringer=2), put(2, start=20)],
        [put(1), put(2, start=20)],
        [put(2), put(1, start=20)],
    ),
    ("one_racquet_a_stringer", SHARED, None, [put(1), put(2, start=19, machine=2)], None),
    ("one_racquet_a_machine", SHARED, None, [put(1), put(2, stringer=2, machine=1, start=19)], None),
]
FINE = {
    "started_jobs_stand": (
        [put(1, start=-10, minutes=25), put(2, start=40)],
        [put(1, start=-10, minutes=25), put(2, start=15)],
    ),
    "one_racquet_a_stringer": ([put(1), put(2, stringer=2)], [put(1), put(2, start=20, machine=2)]),
    "one_racquet_a_machine": ([put(1), put(2, stringer=2)], [put(1), put(2, stringer=2, machine=1, start=20)]),
}


@pytest.mark.parametrize(("rule", "workload", "trivial", "forbidden", "neighbour"), CASES)
class TestRule:
    def test_holds_trivially(self, rule, workload, trivial, forbidden, neighbour):
        plan = trivial or FINE[rule][0]
        assert broken_rules(workload, *plan) == set()
        assert model_allows(workload, *plan)

    def test_refuses_the_forbidden(self, rule, workload, trivial, forbidden, neighbour):
        assert broken_rules(workload, *forbidden) == {rule}
        left_out = rule == "every_job_once"
        assert left_out or not model_allows(workload, *forbidden)

    def test_lets_the_neighbour_pass(self, rule, workload, trivial, forbidden, neighbour):
        plan = neighbour or FINE[rule][1]
        assert broken_rules(workload, *plan) == set()
        assert model_allows(workload, *plan)


def test_a_job_planned_twice_is_a_fault():
    workload = make_workload()
    assert broken_rules(workload, put(start=0), put(start=40)) == {"every_job_once"}


def test_a_job_planned_and_left_out_is_a_fault():
    assert broken_rules(make_workload(), put(), unplaced=["J1"]) == {"every_job_once"}


def test_a_stranger_in_the_plan_is_a_fault():
    assert broken_rules(make_workload(), put(), put(9, start=50)) == {"every_job_once"}


def test_a_started_job_left_out_is_a_fault():
    assert broken_rules(STARTED, put(2, start=40), unplaced=["J1"]) == {"started_jobs_stand"}
    assert not model_allows(STARTED, put(2, start=40), unplaced=["J1"])


def test_an_unknown_stringer_is_a_fault():
    assert broken_rules(make_workload(), put(stringer=7, machine=1)) == {"goes_where_it_may"}


def test_a_job_for_nobody_can_be_left_out_only():
    workload = make_workload(jobs=(make_job(stringers=()),))
    assert broken_rules(workload, put()) == {"goes_where_it_may"}
    assert not model_allows(workload, put())
    assert model_allows(workload, unplaced=["J1"])


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(workloads())
def test_the_quick_rules_keep_every_rule_of_the_model(workload):
    assignments, left_out = earliest_due(workload, Points())
    assert broken_rules(workload, *assignments, unplaced=left_out) == set()
    assert model_allows(workload, *assignments, unplaced=left_out)


def test_equal_racquets_of_a_player_are_interchangeable():
    workload = make_workload(jobs=(make_job(1), make_job(2)))
    other = replace(workload, jobs=workload.jobs[::-1])
    for one in (workload, other):
        assert model_allows(one, put(1, start=20), put(2, start=0))
