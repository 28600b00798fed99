"""Gaps for racquets that have not come yet: what can wait is put off at no cost but waiting, by every rule."""

from dataclasses import replace

import pytest
from hypothesis import given, settings

from solver import check_plan, make_plan, warm_up
from solver.contract.workload import Started, priced
from solver.dispatch import first_come
from solver.gaps import KEPT_BEFORE, LEAST, QUEUE_OF_FIRST_GAPS, QUEUE_OF_FULL_GAPS, put_off, with_gaps
from solver.judge.costs import cost_of_assignments
from tests.solver.make import make_job, make_machine, make_plan_of, make_stringer, make_workload, put
from tests.solver.strategies import POINTS, workloads

LONG = make_stringer(windows=((0, 480),))


def starts(workload, *assignments):
    """Give the starts by job after gaps were left; every rule is kept."""
    found = with_gaps(workload, assignments)
    assert check_plan(workload, make_plan_of(workload, *found)) == []
    return {a.job: a.start for a in found}


def busy_bench(*dues, **over):
    """One racquet after the other at one bench, 12 of 20 minutes for 480 minutes: what comes makes it full."""
    due = [*dues, *[480] * (12 - len(dues))]
    jobs = tuple(make_job(i, player=f"P{i}", due=at) for i, at in enumerate(due, start=1))
    return make_workload(**{"jobs": jobs, "stringers": (LONG,), "spread": 15} | over)


def in_a_row(workload):
    """The jobs in the order of their names' numbers, without a gap."""
    return [put(i, start=20 * (i - 1)) for i in range(1, len(workload.jobs) + 1)]


def test_what_can_wait_is_put_off_by_two_minutes_for_each_minute_of_work_ahead():
    workload = busy_bench()
    assert put_off(workload) == 1.0
    found = starts(workload, *in_a_row(workload))
    assert [found[f"J{i}"] for i in range(1, 5)] == [0, 60, 120, 180]


def test_some_time_stays_free_before_it_is_needed():
    found = starts(workload := busy_bench(), *in_a_row(workload))
    assert max(start + 20 for start in found.values()) == 480 - KEPT_BEFORE


def test_what_is_needed_soon_stays():
    workload = busy_bench(20, 40, 60, 80)
    found = starts(workload, *in_a_row(workload))
    assert [found[f"J{i}"] for i in range(1, 5)] == [0, 20, 40, 60]
    assert found["J5"] > 80


@pytest.mark.parametrize(
    "over",
    [{"promised": 60}, {"after": ("J1",)}, {"due": None, "promised": 60}],
    ids=["promised", "keeps its turn", "promised without a due time"],
)
def test_a_promise_and_a_turn_stay(over):
    workload = busy_bench()
    jobs = tuple(replace(job, **over) if job.id == "J3" else job for job in workload.jobs)
    assert starts(replace(workload, jobs=jobs), *in_a_row(workload))["J3"] == 40


def test_the_hours_of_the_machine_are_kept():
    workload = busy_bench(machines=(make_machine(windows=((0, 100), (200, 480))),))
    plan = [put(i, start=20 * (i - 1)) for i in range(1, 6)] + [put(i, start=80 + 20 * i) for i in range(6, 13)]
    found = starts(workload, *plan)
    assert found["J2"] > 20
    assert not any(80 < start < 200 for start in found.values())


def test_what_is_on_a_machine_stays_and_counts_as_work_ahead():
    workload = busy_bench()
    first = replace(workload.jobs[0], started=Started(stringer="S1", machine="M1", start=0, end=20))
    workload = replace(workload, now=10, jobs=(first, *workload.jobs[1:]))
    found = starts(workload, *in_a_row(workload))
    assert found["J1"] == 0
    assert 20 < found["J2"] <= 10 + 3 * 10


def test_the_next_at_every_bench_stays():
    jobs = tuple(make_job(i, player=f"P{i}", due=480) for i in range(1, 13))
    workload = make_workload(jobs=jobs, team=2, spread=15)
    found = starts(workload, *(put(i, 1 + i % 2, 20 * ((i - 1) // 2)) for i in range(1, 13)))
    assert found["J1"] == found["J2"] == 0


@pytest.mark.parametrize(("count", "part"), [(1, LEAST), (8, LEAST), (9, 2 / 3), (10, 1.0), (12, 1.0), (20, 1.0)])
def test_the_fuller_the_benches_the_more_is_put_off(count, part):
    jobs = tuple(make_job(i, player=f"P{i}", due=480) for i in range(count))
    assert put_off(make_workload(jobs=jobs, stringers=(LONG,))) == pytest.approx(part)


def test_the_mean_queue_is_that_of_its_distribution():
    """Kleinrock 1975, Queueing Systems I, M/M/1: n customers with probability (1 - q) q^n (from memory)."""
    q = 9 * 20 * 2 / 480
    mean = sum(n * (1 - q) * q**n for n in range(1000))
    found = put_off(make_workload(9, stringers=(LONG,)))
    assert found == pytest.approx((mean - QUEUE_OF_FIRST_GAPS) / (QUEUE_OF_FULL_GAPS - QUEUE_OF_FIRST_GAPS))


def test_hours_of_the_days_after_do_not_count():
    days = make_stringer(windows=tuple((24 * 60 * day, 24 * 60 * day + 480) for day in range(5)))
    assert put_off(make_workload(10, stringers=(days,))) == 1.0


def test_work_that_is_needed_on_a_later_day_does_not_count():
    jobs = tuple(make_job(i, player=f"P{i}", due=480 if i < 2 else 2000) for i in range(12))
    assert put_off(make_workload(jobs=jobs, stringers=(LONG,))) == LEAST


def test_little_is_put_off_where_nothing_waits_and_all_where_nobody_is_there():
    assert put_off(make_workload(0)) == LEAST
    assert put_off(make_workload(3, stringers=(make_stringer(windows=()),))) == 1.0


@settings(deadline=None, max_examples=60)
@given(workloads(most_jobs=12), POINTS)
def test_any_plan_keeps_every_rule_and_pays_for_waiting_alone(workload, points):
    workload = priced(workload, points)
    assignments, left_out = first_come(workload, points)
    found = with_gaps(workload, assignments)
    assert check_plan(workload, make_plan_of(workload, *found, unplaced=left_out)) == []
    before, after = (cost_of_assignments(workload, a, left_out, points) for a in (assignments, found))
    assert sum(after.values()) - after["waiting"] <= sum(before.values()) - before["waiting"]
    was = {a.job: a for a in assignments}
    assert all(a.start >= was[a.job].start and a.stringer == was[a.job].stringer for a in found)


COUNTED = {"seconds": 60, "steps": 5_000, "workers": 1, "bound": False}


def test_a_plan_has_gaps_where_it_is_soon_replaced_and_the_caller_does_not_decline():
    warm_up()
    jobs = tuple(make_job(i, player=f"P{i}", due=460) for i in range(18))
    workload = make_workload(jobs=jobs, team=2, spread=15)
    tight = make_plan(workload, **COUNTED, gaps=False)
    loose = make_plan(workload, **COUNTED)
    ends = [sum(a.end for a in plan.assignments) for plan in (tight, loose)]
    assert ends[0] < ends[1]
    assert loose.total - loose.costs["waiting"] <= tight.total - tight.costs["waiting"]
    assert check_plan(workload, loose) == []
    certain = replace(workload, spread=0)
    assert make_plan(certain, **COUNTED).assignments == make_plan(certain, **COUNTED, gaps=False).assignments
