"""Late, tight and broken promises, told apart."""

from solver.judge.troubles import find_troubles
from tests.solver.make import make_job, make_plan_of, make_workload, put


def troubles(*assignments, tight=False, **over):
    """Kind and minutes of each trouble of a plan of one job."""
    workload = make_workload(jobs=(make_job(**over),))
    return [(t.kind, t.minutes) for t in find_troubles(workload, make_plan_of(workload, *assignments), tight=tight)]


def test_between_due_and_latest_a_racquet_is_tight_and_only_told_when_asked():
    assert troubles(put(start=15), due=30, latest=40) == []
    assert troubles(put(start=15), due=30, latest=40, tight=True) == [("tight", 5)]
    assert troubles(put(start=20), due=30, latest=40, tight=True) == [("tight", 10)]


def test_past_latest_a_racquet_is_late_by_the_minutes_since():
    assert troubles(put(start=21), due=30, latest=40, tight=True) == [("late", 1)]
    assert troubles(put(start=21), due=30, latest=20) == [("late", 11)]
    assert troubles(put(start=21), due=30) == [("late", 11)]


def test_a_broken_promise_hides_that_it_is_tight():
    assert troubles(put(start=20), due=30, latest=50, promised=35, tight=True) == [("promise", 5)]


def test_tight_ones_come_last():
    workload = make_workload(2, 2, jobs=(make_job(1, due=1, latest=99, weight=20), make_job(2, promised=19)))
    plan = make_plan_of(workload, put(1), put(2, stringer=2))
    assert [t.job for t in find_troubles(workload, plan, tight=True)] == ["J2", "J1"]
