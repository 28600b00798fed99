"""One day by the rule: it keeps the rules, follows its own plan, and bends to what happens."""

import itertools
import random
from dataclasses import replace

import numpy as np
import pytest

from solver import Plan, Workload, check_plan
from solver.contract.workload import History
from solver.rehearsal import Outage, day_of_workload, play
from solver.rehearsal.against_planner import played_by_rule, true_factors
from solver.rehearsal.table_columns import NEVER
from tests.solver.make import make_job, make_machine, make_stringer
from tests.solver.rehearsal.make_day import make_day, make_team


def busy_workload(seed=0, jobs=40, team=3):
    """A day with drop-offs, due times, breaks, a list of machines, and players of several racquets."""
    dice = random.Random(seed)
    return Workload(
        now=400,
        stringers=tuple(make_stringer(i, windows=((480, 700), (730, 1100)), pace=90 + 5 * i) for i in range(team)),
        machines=tuple(make_machine(i) for i in range(team)),
        jobs=tuple(
            make_job(
                i,
                player=f"P{i // 3}",
                minutes=dice.randint(15, 30),
                ready_from=(at := dice.choice([0, 500, 600, 700])),
                due=max(at, 480) + dice.randint(20, 300),
                machines=("M0", "M1") if i % 7 == 0 else None,
            )
            for i in range(jobs)
        ),
        history={"P1": History(stringers=("S2",), machines=("M2",))},
    )


@pytest.mark.parametrize("seed", range(5))
def test_a_day_of_certain_minutes_keeps_every_rule_of_a_plan(seed):
    workload = busy_workload(seed)
    strung, left = played_by_rule(workload, dict.fromkeys(workload.job_by_id, 1.0), 15, seed)
    plan = Plan(status="feasible", assignments=tuple(strung), unplaced=tuple(left), costs={})
    assert check_plan(workload, plan) == []


def test_a_day_without_surprises_equals_its_plan():
    known_at_once = replace(busy_workload(), jobs=tuple(replace(j, ready_from=0) for j in busy_workload().jobs))
    day, team = day_of_workload(known_at_once, [1.0] * 40)
    went = play(day, team)
    assert went.strung.all()
    assert went.end.tolist() == went.told.tolist()


def test_promises_of_a_day_without_surprises_are_kept():
    known_at_once = replace(busy_workload(), jobs=tuple(replace(j, ready_from=0) for j in busy_workload().jobs))
    went = play(*day_of_workload(known_at_once, [1.0] * 40), promises=True)
    assert (went.end <= went.promised).all()


def test_racquets_on_uncertain_benches_never_overlap():
    workload = busy_workload(3)
    strung, _ = played_by_rule(workload, true_factors(workload, 30, 1), 30, 1)
    for key in ("stringer", "machine"):
        spans = sorted((getattr(a, key), a.start, a.end) for a in strung)
        assert all(end <= start for (who, _, end), (other, start, _) in itertools.pairwise(spans) if who == other)


def test_the_same_seed_gives_the_same_day():
    workload = busy_workload(1)
    day, team = day_of_workload(workload, list(true_factors(workload, 15, 1).values()), seed=4)
    assert play(day, team).end.tolist() == play(day, team).end.tolist()


def test_the_own_stringer_is_kept_unless_that_makes_it_late():
    easy = make_day([0, 0], player=[0, 0], due=[600, 600])
    assert len(set(play(easy, make_team(2)).stringer)) == 1
    tight = make_day([0, 0], player=[0, 0], due=[21, 21], latest=[21, 21])
    assert len(set(play(tight, make_team(2)).stringer)) == 2


def test_the_earliest_due_goes_first_and_of_two_the_heavier():
    went = play(make_day([0, 0, 0], player=[0, 1, 2], due=[300, 40, 40], weight=[5, 5, 20]), make_team(1))
    assert np.argsort(went.start).tolist() == [2, 1, 0]


def test_a_wish_for_fresh_string_is_waited_for():
    went = play(make_day([0], fresh=[100], due=[400]), make_team(1))
    assert went.start.tolist() == [100]


def test_a_machine_that_fails_sends_its_stringer_to_a_spare_one_or_home():
    team = make_team(2, windows=((0, 1000),))
    day = make_day([0] * 8, player=list(range(8)), outages=[Outage(machine="M1", start=50, end=900)])
    went = play(day, team)
    after = went.start >= 50
    assert set(went.machine[after]) == {0}
    assert set(went.stringer[after]) == {0}


def test_needed_by_times_that_move_are_followed():
    still = make_day([0, 0, 0], player=[0, 1, 2], due=[25, 60, 300])
    moved = replace(still, racquets=replace(still.racquets, moves=np.array([[5, 2, 30, 30]])))
    assert play(still, make_team(1)).start.tolist() == [0, 20, 40]
    went = play(moved, make_team(1))
    assert went.start.tolist() == [0, 40, 20]
    assert went.due.tolist() == [25, 60, 30]


def test_what_finds_no_room_is_left_and_stops_nobody():
    went = play(make_day([0, 0, 0], player=[0, 1, 2], minutes=[20, 500, 20]), make_team(1, windows=((0, 100),)))
    assert went.strung.tolist() == [True, False, True]


def test_a_day_without_anybody_leaves_all():
    assert not play(make_day([0, 1]), make_team(0)).strung.any()
    assert play(make_day([0, 1]), make_team(0)).told.tolist() == [NEVER, NEVER]
