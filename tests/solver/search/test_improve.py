"""The compiled search: every plan keeps the rules, costs what it says, and is no worse than its start."""

from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from solver import Points, Workload, check_plan
from solver.contract.workload import History, Started
from solver.dispatch import earliest_due, first_come
from solver.judge.costs import cost_of_assignments
from solver.search import improve
from solver.search.shares import FEWEST_STRINGERS
from tests.solver.enumeration import least_total
from tests.solver.make import make_job, make_machine, make_plan_of, make_stringer, make_workload
from tests.solver.strategies import POINTS, workloads

PLENTY = 3600.0


def search(workload, points=None, start=None, *, steps=3000, **more):
    """A plan after so many steps by one worker."""
    return improve(workload, points or Points(), start, seconds=PLENTY, steps=steps, **more)


def faults(workload, found):
    """What the solver-free check has against a plan that was found."""
    return check_plan(workload, make_plan_of(workload, *found.assignments, unplaced=found.unplaced))


@settings(deadline=None, max_examples=60)
@given(workloads(most_jobs=12), POINTS, st.integers(0, 1000))
@pytest.mark.slow
def test_any_plan_found_keeps_every_rule_and_costs_what_it_says(workload, points, seed):
    found = search(workload, points, seed=seed)
    assert faults(workload, found) == []
    assert found.total == sum(cost_of_assignments(workload, found.assignments, found.unplaced, points).values())


@settings(deadline=None, max_examples=40)
@given(workloads(most_jobs=12), POINTS, st.sampled_from([earliest_due, first_come]))
def test_no_plan_costs_more_than_the_one_it_began_with(workload, points, rule):
    assignments, left_out = rule(workload, points)
    begun = sum(cost_of_assignments(workload, assignments, left_out, points).values())
    found = search(workload, points, assignments, steps=500)
    assert faults(workload, found) == []
    assert found.total <= begun


NEEDED_BEFORE_THE_FIRST_MINUTE = make_workload(jobs=(make_job(due=-1, latest=0, weight=5, stringers=()),))


@settings(deadline=None, max_examples=25)
@given(workloads(most_jobs=3), POINTS)
@example(NEEDED_BEFORE_THE_FIRST_MINUTE, Points(unplaced=0, late=1, late_cap=0))
def test_tiny_workloads_are_planned_as_well_as_by_enumeration(workload, points):
    assert search(workload, points, steps=200_000).total == least_total(workload, points)


@settings(deadline=None, max_examples=10)
@given(workloads(most_jobs=12), st.integers(0, 100))
def test_a_seed_and_a_number_of_steps_give_the_same_plan(workload, seed):
    assert search(workload, seed=seed) == search(workload, seed=seed)


@settings(deadline=None, max_examples=30)
@given(workloads(most_jobs=16, team_size=(8, 10)), POINTS, st.integers(0, 1000))
@pytest.mark.slow
def test_workers_at_shares_of_a_large_team_keep_every_rule(workload, points, seed):
    assert len(workload.stringers) >= 2 * FEWEST_STRINGERS
    begun = earliest_due(workload, points)
    found = search(workload, points, begun[0], seed=seed, workers=2)
    assert faults(workload, found) == []
    assert found.total == sum(cost_of_assignments(workload, found.assignments, found.unplaced, points).values())
    assert found.total <= sum(cost_of_assignments(workload, *begun, points).values())


def test_a_worker_whose_share_holds_no_racquet_waits():
    workload = make_workload(jobs=(make_job(1, stringers=("S8",)),), team=8)
    for more in ({"seconds": 0.4}, {"seconds": PLENTY, "steps": 2000}):
        (a,) = improve(workload, Points(), None, workers=2, **more).assignments
        assert (a.job, a.stringer, a.end - a.start) == ("J1", "S8", 20)


def test_workers_at_shares_plan_a_quiet_day_without_lateness():
    jobs = tuple(make_job(i, player=f"P{i % 8}", due=60 + 20 * (i // 8)) for i in range(48))
    found = search(make_workload(team=8, jobs=jobs), steps=60_000, workers=2)
    assert found.total == sum(a.end for a in found.assignments)


@pytest.mark.parametrize(
    "workload",
    [
        Workload(),
        make_workload(count=0),
        make_workload(team=0, machines=(make_machine(),)),
        make_workload(machines=()),
    ],
    ids=["nothing", "no jobs", "no stringers", "no machines"],
)
def test_where_nothing_can_be_planned_all_jobs_are_left_out(workload):
    found = search(workload)
    assert found.assignments == ()
    assert found.unplaced == tuple(j.id for j in workload.jobs)


def test_two_workers_find_a_plan_that_keeps_the_rules():
    workload = make_workload(count=12, team=2)
    found = improve(workload, Points(), None, seconds=0.3, workers=2)
    assert faults(workload, found) == []
    assert found.unplaced == ()


def test_a_started_racquet_stays_as_it_is():
    started = make_job(1, started=Started(stringer="S1", machine="M1", start=5, end=31), minutes=26)
    workload = make_workload(jobs=(started, make_job(2)), now=10)
    first, second = search(workload).assignments
    assert (first.job, first.start, first.end) == ("J1", 5, 31)
    assert (second.job, second.start) == ("J2", 31)


def test_pins_and_lists_are_honoured():
    jobs = (
        make_job(1, pinned_stringer="S2"),
        make_job(2, pinned_machine="M2"),
        make_job(3, stringers=("S1",), machines=("M2",)),
    )
    workload = make_workload(team=2, jobs=jobs)
    by_job = {a.job: a for a in search(workload).assignments}
    assert by_job["J1"].stringer == "S2"
    assert by_job["J2"].machine == "M2"
    assert (by_job["J3"].stringer, by_job["J3"].machine) == ("S1", "M2")


def test_two_stringers_at_one_machine_take_turns():
    team = (make_stringer(1), make_stringer(2, home="M1"))
    workload = make_workload(count=4, stringers=team, machines=(make_machine(1),))
    found = search(workload)
    spans = sorted((a.start, a.end) for a in found.assignments)
    assert spans == [(0, 20), (20, 40), (40, 60), (60, 80)]


def test_a_job_that_pays_to_be_left_out_is_left_out():
    workload = make_workload(jobs=(make_job(1, due=0, weight=1),))
    points = Points(unplaced=0, late=1, waiting=100, late_cap=120)
    assert search(workload, points).unplaced == ("J1",)


def test_without_a_cap_lateness_counts_to_the_last_minute():
    workload = make_workload(jobs=(make_job(1, due=0, weight=2, minutes=400),))
    points = Points(late=1, waiting=0, over_target=0, late_cap=None)
    assert search(workload, points).total == 800


def test_a_player_keeps_the_stringer_of_the_history():
    history = {"P1": History(stringers=("S2",), machines=("M2",))}
    workload = make_workload(team=2, history=history)
    assert search(workload).assignments[0].stringer == "S2"


def test_a_start_that_no_longer_fits_is_mended():
    workload = make_workload(count=2)
    begun = search(workload).assignments
    later = replace(workload, stringers=(make_stringer(1, windows=((100, 480),)),))
    found = search(later)
    mended = search(later, start=begun)
    assert faults(later, mended) == []
    assert mended.total == found.total


def test_the_work_of_a_stringer_who_left_is_slipped_into_the_order_of_the_others():
    jobs = tuple(make_job(i, player=f"P{i}", due=20 * (i + 1), weight=20) for i in range(20))
    workload = make_workload(team=2, jobs=jobs)
    begun = search(workload).assignments
    later = replace(workload, stringers=workload.stringers[:1])
    rest = tuple(a for a in begun if a.stringer == "S1")
    behind = search(later, start=rest, steps=0).total
    between = search(later, start=rest, before=begun, steps=0).total
    assert between < behind


def test_an_earlier_plan_of_other_jobs_and_benches_does_no_harm():
    earlier = search(make_workload(count=6, team=3)).assignments
    workload = make_workload(count=4)
    found = search(workload, start=(), before=earlier)
    assert faults(workload, found) == []
    assert found.total == search(workload).total


def test_jobs_and_benches_that_are_gone_are_forgotten():
    begun = search(make_workload(count=3, team=2)).assignments
    fewer = make_workload(count=2)
    found = search(fewer, start=begun)
    assert faults(fewer, found) == []
    assert found.total == search(fewer).total


def test_the_caller_can_end_the_search():
    told = []

    def stop(total):
        told.append(total)
        return True

    found = improve(make_workload(count=20, team=2), Points(), None, seconds=PLENTY, on_progress=stop)
    assert len(told) == 1
    assert found.total <= told[0]


def test_fresh_strings_wait_for_their_time_where_that_costs_less():
    workload = make_workload(jobs=(make_job(1, fresh_from=300),))
    assert search(workload).assignments[0].start == 300
    (early,) = search(workload, Points(stale=0)).assignments
    assert early.end <= 300


def test_a_bag_stays_on_one_kind_of_machine():
    jobs = tuple(make_job(i, player="P1", due=60) for i in range(1, 4))
    team = tuple(make_stringer(i) for i in (1, 2))
    kinds = (make_machine(1, kind="constant_pull"), make_machine(2, kind="lockout"))
    points = Points(extra_stringer=0, extra_machine=0, extra_kind=50, late=10)
    workload = make_workload(stringers=team, machines=kinds, jobs=jobs)
    assert len({a.machine for a in search(workload, points).assignments}) == 1
    assert len({a.machine for a in search(workload, replace(points, extra_kind=0)).assignments}) == 2


def test_the_kinds_of_the_history_are_known():
    history = {"P1": History(stringers=(), machines=("M2",))}
    kinds = (make_machine(1, kind="constant_pull"), make_machine(2, kind="lockout"))
    workload = make_workload(team=2, machines=kinds, history=history)
    points = Points(extra_machine=0)
    assert search(workload, points).assignments[0].machine == "M2"
    assert search(replace(workload, stringers=workload.stringers[:1]), points).total == 220


def test_with_a_spread_a_job_is_not_planned_to_the_very_minute():
    jobs = (make_job(1, player="P1", due=40, weight=10), make_job(2, player="P2", due=40, weight=9))
    workload = make_workload(jobs=jobs)
    assert search(workload).total == 60
    spread = search(replace(workload, spread=30))
    assert spread.total > 60
    assert spread.assignments[0].job == "J2" or spread.total < least_other(replace(workload, spread=30), spread)


def least_other(workload, found):
    """The total with the two jobs in the other order."""
    first, second = found.assignments
    swapped = (replace(first, job=second.job), replace(second, job=first.job))
    return sum(cost_of_assignments(workload, swapped, ()).values())
