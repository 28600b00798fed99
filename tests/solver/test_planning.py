"""`make_plan`: plans without fault, no worse than the quick rules, the same for the same seed."""

import json
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from solver import Plan, Points, Workload, check_plan, cost_of, make_plan, read_workload
from solver.contract.workload import History, Started
from solver.dispatch import earliest_due, first_come
from solver.effort import Planning
from solver.model.solve import total_of
from tests.solver.make import make_job, make_machine, make_stringer, make_workload
from tests.solver.outside import checked_total, needs_shared, workload_paths
from tests.solver.strategies import POINTS, workloads

SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large]
SOME = settings(max_examples=25, deadline=None, suppress_health_check=SLOW)


def planned(workload, points=None, steps=20_000, **over):
    """A plan that depends on nothing but the arguments."""
    return make_plan(workload, seconds=60, workers=1, steps=steps, points=points or Points(), **over)


@SOME
@given(workloads(), POINTS)
def test_every_plan_is_without_fault_and_no_worse_than_the_quick_rules(workload, points):
    plan = planned(workload, points)
    assert check_plan(workload, plan) == []
    assert plan.costs == cost_of(workload, plan, points)
    assert plan.bound <= plan.total
    for rule in (first_come, earliest_due):
        assert plan.total <= total_of(workload, rule(workload, points), points)


@SOME
@given(workloads(most_jobs=5))
def test_removing_a_job_never_raises_the_total(workload):
    whole = planned(workload)
    if workload.jobs and workload.jobs[-1].started is None:
        fewer = planned(replace(workload, jobs=workload.jobs[:-1]))
        assert (whole.status, fewer.status) in (("optimal", "optimal"), ("optimal", "empty"))
        assert fewer.total <= whole.total


@SOME
@given(workloads(most_jobs=5))
def test_renaming_everything_changes_nothing(workload):
    def renamed(value):
        if isinstance(value, dict):
            return {k: renamed(v) for k, v in value.items()}
        if isinstance(value, list):
            return [renamed(v) for v in value]
        return f"new {value}" if isinstance(value, str) else value

    data = renamed(workload.to_dict())
    data["history"] = {f"new {player}": past for player, past in data["history"].items()}
    other = planned(read_workload(data))
    plan = planned(workload)
    assert (other.status, other.total) == (plan.status, plan.total)


@SOME
@given(workloads(most_jobs=5))
def test_shifting_all_times_shifts_the_plan(workload):
    plan, later = planned(workload), planned(shifted(workload, 1000))
    assert later.status == plan.status
    assert later.costs == plan.costs or later.total == plan.total
    assert check_plan(shifted(workload, 1000), moved(plan, 1000)) == []


def shifted(workload, by):
    """The same workload, so many minutes later."""

    def span(pair):
        return (pair[0] + by, pair[1] + by)

    def job(one):
        begun = one.started and replace(one.started, start=one.started.start + by, end=one.started.end + by)
        return replace(
            one,
            ready_from=one.ready_from + by,
            started=begun,
            **{
                name: None if (minute := getattr(one, name)) is None else minute + by
                for name in ("fresh_from", "due", "latest", "promised")
            },
        )

    return replace(
        workload,
        now=workload.now + by,
        stringers=tuple(replace(s, windows=tuple(map(span, s.windows))) for s in workload.stringers),
        machines=tuple(
            replace(m, windows=None if m.windows is None else tuple(map(span, m.windows))) for m in workload.machines
        ),
        jobs=tuple(map(job, workload.jobs)),
    )


def moved(plan, by):
    """The same plan, so many minutes later."""
    return replace(plan, assignments=tuple(replace(a, start=a.start + by, end=a.end + by) for a in plan.assignments))


def day(count=30, team=3, **over):
    """A busy day: players with two racquets each, due through the day."""
    jobs = tuple(
        make_job(i, player=f"P{i // 2}", minutes=18 + i % 7, ready_from=5 * i, due=60 + 9 * i, weight=5)
        for i in range(1, count + 1)
    )
    return make_workload(team=team, jobs=jobs, **over)


def test_the_same_seed_and_steps_give_the_same_plan():
    one, two = planned(day(), seed=5), planned(day(), seed=5)
    assert replace(one, seconds=0) == replace(two, seconds=0)


def test_a_search_improves_on_the_quick_rules():
    quick = min(total_of(day(), rule(day(), Points()), Points()) for rule in (first_come, earliest_due))
    assert planned(day(), steps=200_000).total < quick


def test_two_workers_within_a_time_give_a_plan_without_fault():
    plan = make_plan(day(), seconds=0.5, workers=2)
    assert check_plan(day(), plan) == []
    assert 0 < plan.bound <= plan.total


def test_no_time_at_all_still_gives_a_plan():
    plan = make_plan(day(), seconds=0)
    assert check_plan(day(), plan) == []


def test_nothing_to_plan_is_an_empty_plan():
    plan = make_plan(Workload(), seconds=1)
    assert (plan.status, plan.assignments, plan.total, plan.bound) == ("empty", (), 0, 0)


def test_started_racquets_alone_are_planned_as_they_stand():
    begun = Started(stringer="S1", machine="M1", start=0, end=25)
    workload = make_workload(jobs=(make_job(started=begun),), now=10)
    plan = make_plan(workload, seconds=1)
    assert (plan.status, plan.total, plan.assignments[0].end) == ("optimal", 25, 25)


def test_a_job_that_nobody_may_string_is_left_out_and_no_exception():
    plan = make_plan(make_workload(jobs=(make_job(stringers=()), make_job(2))), seconds=5)
    assert (plan.status, plan.unplaced) == ("optimal", ("J1",))


def test_a_desk_without_stringers_or_machines_leaves_everything_out():
    for workload in (
        make_workload(2, stringers=()),
        make_workload(2, machines=(), stringers=(make_stringer(home=None),)),
    ):
        plan = make_plan(workload, seconds=5)
        assert (plan.unplaced, plan.total) == (("J1", "J2"), 200_000)
        assert plan.status == "optimal"


def test_the_known_stringer_is_kept_when_that_costs_less():
    past = {"P1": History(stringers=("S2",), machines=("M2",))}
    plan = make_plan(make_workload(team=2, jobs=(make_job(), make_job(2)), history=past), seconds=5)
    assert {a.stringer for a in plan.assignments} == {"S2"}
    assert (plan.status, plan.total) == ("optimal", 60)


def test_hours_without_end_are_planned_at_once():
    workload = make_workload(3, stringers=(make_stringer(windows=((0, 10**9),)),))
    plan = make_plan(workload, seconds=5)
    assert (plan.status, plan.total) == ("optimal", 120)


@pytest.mark.parametrize("change", ["a job more", "a stringer gone", "a machine out", "a match moved"])
def test_an_earlier_plan_is_mended_after_a_change(change):
    before = day()
    plan = planned(before, steps=50_000)
    after = {
        "a job more": lambda: replace(before, jobs=(*before.jobs, make_job(99, due=90, weight=20))),
        "a stringer gone": lambda: replace(
            before, stringers=(make_stringer(1, windows=((0, 100),)), *before.stringers[1:])
        ),
        "a machine out": lambda: replace(
            before, machines=(make_machine(1, windows=((200, 960),)), *before.machines[1:])
        ),
        "a match moved": lambda: replace(
            before, jobs=tuple(replace(j, due=j.due - 30) for j in before.jobs[:4]) + before.jobs[4:]
        ),
    }[change]()
    mended = planned(after, previous=plan, steps=50_000)
    assert check_plan(after, mended) == []
    assert mended.total <= total_of(after, earliest_due(after, Points()), Points())


def test_progress_is_told_and_may_end_the_planning():
    told = []

    def once(seconds, total, bound):
        told.append((seconds, total, bound))
        return True

    plan = make_plan(day(60), seconds=60, progress=once)
    assert len(told) == 1
    assert told[0][2] <= plan.total <= told[0][1]
    assert plan.seconds < 60


def test_a_plan_comes_back_from_its_own_dict():
    plan = planned(day())
    assert Plan.from_dict(json.loads(json.dumps(plan.to_dict()))).to_dict() == plan.to_dict()


@pytest.mark.parametrize(
    "data", [{}, {"status": "optimal", "assignments": [{}]}, {"status": "optimal", "assignments": 7}]
)
def test_what_is_no_plan_is_refused(data):
    with pytest.raises(ValueError, match="This is no plan"):
        Plan.from_dict(data)


@pytest.mark.slow
@needs_shared
@pytest.mark.outside
@pytest.mark.parametrize("path", workload_paths(), ids=lambda path: path.stem)
def test_the_independent_checker_agrees(path, tmp_path):
    workload = read_workload(path)
    plan = make_plan(workload, seconds=1)
    assert checked_total(path, plan, tmp_path) == plan.total
    assert 0 < plan.bound <= plan.total


def test_a_counted_planning_proves_only_where_a_bound_is_asked_for(monkeypatch):
    proved = []
    monkeypatch.setattr(Planning, "prove", lambda self: proved.append(len(self.open)))
    monkeypatch.setattr(Planning, "climb", lambda self, **over: None)
    for bound in (False, True):
        planned(make_workload(6), bound=bound)
    assert proved == [6]
