"""Gaps for racquets that have not come yet: what can wait is put off at no cost but waiting, by every rule."""

from dataclasses import replace

import pytest
from hypothesis import given, settings

from solver import check_plan, make_plan, warm_up
from solver.contract.workload import Started, priced
from solver.dispatch import first_come
from solver.judge.costs import cost_of_assignments
from solver.newcomers import gaps
from solver.newcomers.gaps import WIDER_BY, WIDER_FROM, WIDEST, with_gaps
from tests.solver.make import make_job, make_machine, make_plan_of, make_stringer, make_workload, put
from tests.solver.strategies import POINTS, workloads


def starts(workload, *assignments):
    """Give the starts by job after gaps were left; every rule is kept."""
    found = with_gaps(workload, assignments)
    assert check_plan(workload, make_plan_of(workload, *found)) == []
    return {a.job: a.start for a in found}


def busy_bench(*dues, **over):
    """12 racquets of 20 minutes at one bench that is open for 480 minutes, for 400 unless DUES say otherwise."""
    due = [*dues, *[400] * (12 - len(dues))]
    jobs = tuple(make_job(i, player=f"P{i}", due=at) for i, at in enumerate(due, start=1))
    long = make_stringer(windows=((0, 480),))
    return make_workload(**{"jobs": jobs, "stringers": (long,), "spread": 15} | over)


def in_a_row(workload):
    """The jobs in the order of their names' numbers, without a gap."""
    return [put(i, start=20 * (i - 1)) for i in range(1, len(workload.jobs) + 1)]


def pushing(monkeypatch, minutes):
    """Let newcomers push every racquet back by so many minutes."""
    monkeypatch.setattr(gaps, "pushed_back", lambda _, by_start: {a.job: minutes for a in by_start})


def test_a_racquet_is_put_off_by_what_newcomers_push_it_back(monkeypatch):
    pushing(monkeypatch, 12.0)
    workload = make_workload(spread=15)
    assert starts(workload, put(start=40)) == {"J1": 52}


@pytest.mark.parametrize(("mean", "times"), [(WIDER_FROM, 1), (WIDER_FROM + WIDER_BY, 2), (200, WIDEST)])
def test_where_much_comes_gaps_are_wider(monkeypatch, mean, times):
    pushing(monkeypatch, float(mean))
    workload = make_workload(stringers=(make_stringer(windows=((0, 2000),)),), spread=15)
    assert starts(workload, put(start=40)) == {"J1": 40 + times * mean}


def test_on_a_full_bench_the_last_wait_longest_and_the_next_stays():
    workload = busy_bench(*[240] * 8)
    found = starts(workload, *in_a_row(workload))
    off = [found[f"J{i}"] - 20 * (i - 1) for i in range(1, 13)]
    assert off[0] == 0
    assert min(off[8:]) > max(off[:8])


def test_what_is_needed_soon_stays():
    workload = busy_bench(20, 40, 60, 80)
    found = starts(workload, *in_a_row(workload))
    assert [found[f"J{i}"] for i in range(1, 5)] == [0, 20, 40, 60]


@pytest.mark.parametrize(
    "over",
    [{"promised": 60}, {"after": ("J1",)}, {"due": None, "promised": 60}],
    ids=["promised", "keeps its turn", "promised without a due time"],
)
def test_a_promise_and_a_turn_stay(monkeypatch, over):
    pushing(monkeypatch, 40.0)
    workload = busy_bench()
    jobs = tuple(replace(job, **over) if job.id == "J3" else job for job in workload.jobs)
    assert starts(replace(workload, jobs=jobs), *in_a_row(workload))["J3"] == 40


def test_the_hours_of_the_machine_are_kept(monkeypatch):
    pushing(monkeypatch, 10.0)
    workload = busy_bench(machines=(make_machine(windows=((0, 100), (200, 480))),))
    plan = [put(i, start=20 * (i - 1)) for i in range(1, 6)] + [put(i, start=80 + 20 * i) for i in range(6, 13)]
    found = starts(workload, *plan)
    assert found["J12"] > 320
    assert not any(80 < start < 200 for start in found.values())


def test_what_is_on_a_machine_stays(monkeypatch):
    pushing(monkeypatch, 40.0)
    workload = busy_bench()
    first = replace(workload.jobs[0], started=Started(stringer="S1", machine="M1", start=0, end=20))
    workload = replace(workload, now=10, jobs=(first, *workload.jobs[1:]))
    assert starts(workload, *in_a_row(workload))["J1"] == 0


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
    jobs = tuple(make_job(i, player=f"P{i}", due=240 if i < 12 else 460) for i in range(18))
    workload = make_workload(jobs=jobs, team=2, spread=15)
    tight = make_plan(workload, **COUNTED, gaps=False)
    loose = make_plan(workload, **COUNTED)
    ends = [sum(a.end for a in plan.assignments) for plan in (tight, loose)]
    assert ends[0] < ends[1]
    assert loose.total - loose.costs["waiting"] <= tight.total - tight.costs["waiting"]
    assert check_plan(workload, loose) == []
    certain = replace(workload, spread=0)
    assert make_plan(certain, **COUNTED).assignments == make_plan(certain, **COUNTED, gaps=False).assignments
