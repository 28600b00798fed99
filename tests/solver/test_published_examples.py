"""Worked examples printed in textbooks, planned and held against the printed answers."""

from dataclasses import replace

import pytest

from solver import cost_of, make_plan
from solver.dispatch import earliest_due, first_come
from tests.solver.classic import NOTHING, TARDINESS, classic_workload, order_of
from tests.solver.make import make_plan_of, put

pytestmark = pytest.mark.outside
STEPS = 20_000


def planned(workload, points):
    """A plan that is proved best."""
    plan = make_plan(workload, seconds=60, workers=1, steps=STEPS, points=points)
    assert plan.status == "optimal"
    assert plan.unplaced == ()
    return plan


def total_tardiness(*problem, allowance=0, **over):
    """The least total tardiness with each due time `allowance` later."""
    processing, due, *weights = problem
    later = [d + allowance for d in due]
    return planned(classic_workload(processing, later, *weights, **over), TARDINESS).total // 100


def test_largest_lateness_with_release_times_is_five():
    """Pinedo, Scheduling (4th ed.), ex. 3.2.5 (as quoted in open teaching material): 5, order 1 3 4 2.

    The largest lateness is L where L is the least that, added to each due time, leaves nobody late.
    """
    processing, due, releases = [4, 2, 6, 5], [8, 12, 11, 10], [0, 1, 3, 5]
    assert total_tardiness(processing, due, allowance=4, releases=releases) > 0
    plan = planned(classic_workload(processing, [d + 5 for d in due], releases=releases), TARDINESS)
    assert plan.total == 0


def test_two_of_five_jobs_are_late():
    """Pinedo, Scheduling (4th ed.), ex. 3.3.3 (as quoted in open teaching material): 2."""
    workload = classic_workload([7, 8, 4, 6, 6], [9, 17, 18, 19, 21])
    assert planned(workload, replace(TARDINESS, late_cap=1)).total == 200


def test_total_tardiness_is_370():
    """Pinedo, Scheduling (4th ed.), ex. 3.4.5 (as quoted in open teaching material): 370."""
    assert total_tardiness([121, 79, 147, 83, 130], [260, 266, 266, 336, 337]) == 370


def test_weighted_tardiness_is_67():
    """Pinedo, Scheduling (4th ed.), ex. 3.6.3 (as quoted in open teaching material): order 1 2 4 3.

    It is quoted with 64, a misprint: the printed order itself makes 67.
    """
    plan = planned(classic_workload([12, 8, 15, 9], [16, 26, 25, 27], [4, 5, 3, 5]), TARDINESS)
    assert (plan.total, order_of(plan)) == (6700, [1, 2, 4, 3])


def test_total_completion_under_deadlines_is_52():
    """Pinedo, Scheduling (4th ed.), ex. 4.2.3 (as quoted in open teaching material): either order, 52.

    A minute past a deadline costs more than all waiting together.
    """
    workload = classic_workload([4, 6, 2, 4, 2], [10, 12, 14, 18, 18])
    plan = planned(workload, replace(TARDINESS, waiting=1))
    assert plan.total == 52
    assert order_of(plan) in ([5, 1, 2, 3, 4], [3, 1, 2, 5, 4])


def test_earliest_due_first_has_a_largest_lateness_of_one():
    """Kleinberg and Tardos, Algorithm Design, ch. 4 (slides): 1, in the order given."""
    processing, due = [3, 2, 1, 4, 3, 2], [6, 8, 9, 9, 14, 15]
    assert total_tardiness(processing, due) > 0
    assert total_tardiness(processing, due, allowance=1) == 0
    drafted, left_out = earliest_due(classic_workload(processing, due), TARDINESS)
    assert left_out == []
    ends = {int(a.job[1:]): a.end for a in drafted}
    assert max(ends[n] - d for n, d in enumerate(due, 1)) == 1


def test_weighted_completion_is_18_against_46():
    """Kleinberg and Tardos, Algorithm Design, ch. 4, ex. 13: 18, the other order 46."""
    workload = classic_workload([1, 3], [0, 0], [10, 2])
    points = replace(NOTHING, late=1)
    assert planned(workload, points).total == 18
    other = make_plan_of(workload, put(2, start=0, minutes=3), put(1, start=3, minutes=1), points=points)
    assert cost_of(workload, other, points)["late"] == 46


@pytest.mark.parametrize(("rule", "mean"), [(first_come, 2.2), (earliest_due, 1.2)])
def test_quick_rules_have_the_printed_mean_tardiness(rule, mean):
    """A common operations-management textbook example: first come 2.2, earliest due 1.2."""
    due = [8, 6, 18, 15, 23]
    drafted, left_out = rule(classic_workload([6, 2, 8, 3, 9], due), TARDINESS)
    assert left_out == []
    late = [max(0, a.end - due[int(a.job[1:]) - 1]) for a in drafted]
    assert sum(late) / len(late) == pytest.approx(mean)
