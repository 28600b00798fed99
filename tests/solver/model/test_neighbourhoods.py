"""Parts: a part of a workload is a workload, and mending part by part never makes a plan worse."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from solver import Points, check_plan
from solver.contract.calendar import started_assignments
from solver.dispatch import earliest_due, first_come, repair
from solver.judge.costs import cost_of_assignments
from solver.model.excerpt import part_of
from solver.model.neighbourhoods import improve_by_parts
from solver.model.solve import solve, total_of
from tests.solver.make import make_plan_of
from tests.solver.strategies import workloads

SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large]


@settings(max_examples=60, deadline=None, suppress_health_check=SLOW)
@given(workloads(), st.data())
def test_the_costs_of_a_part_and_of_what_is_fixed_add_up(workload, data):
    assignments, left_out = first_come(workload, Points())
    open_jobs = [a for a in assignments if workload.job_by_id[a.job].started is None]
    # What keeps its turn is never planned in a part.
    kept = [a for a in open_jobs if a.job in workload.in_turn]
    may = [a for a in open_jobs if a not in kept]
    kept += data.draw(st.lists(st.sampled_from(may), unique=True)) if may else []
    out = [name for name in left_out if name in workload.in_turn]
    rest = {j.id for j in workload.jobs if j.started is None} - {a.job for a in kept} - set(out)
    part = part_of(workload, rest, kept)
    draft = earliest_due(part, Points())
    whole = [*started_assignments(workload), *kept, *draft[0]]
    fixed = cost_of_assignments(workload, [*started_assignments(workload), *kept], out, Points())
    assert check_plan(workload, make_plan_of(workload, *whole, unplaced=[*out, *draft[1]])) == []
    assert (
        total_of(workload, (whole, [*out, *draft[1]]), Points())
        == sum(fixed.values()) + total_of(part, draft, Points())
    )  # fmt: skip


@settings(max_examples=20, deadline=None, suppress_health_check=SLOW)
@given(workloads())
def test_mending_keeps_every_rule_and_never_costs_more(workload):
    draft = first_come(workload, Points())
    mended = improve_by_parts(workload, Points(), draft, seconds=60, rounds=4)
    assert check_plan(workload, make_plan_of(workload, *mended[0], unplaced=mended[1])) == []
    assert total_of(workload, mended, Points()) <= total_of(workload, draft, Points())


@settings(max_examples=20, deadline=None, suppress_health_check=SLOW)
@given(workloads(most_jobs=4))
def test_a_proved_plan_stands_when_it_is_repaired(workload):
    draft = solve(workload, Points(), seconds=60).draft
    again = repair(workload, Points(), draft[0])
    assert total_of(workload, again, Points()) <= total_of(workload, draft, Points())
