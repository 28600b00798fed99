"""The points of a job by its end, in the model: straight pieces where ends are certain, else steps of a table."""

from functools import partial

import numpy as np
from ortools.sat.python import cp_model

from solver.contract.calendar import horizon, lengths
from solver.contract.end_points import Part, points_at, points_of_parts
from solver.contract.workload import Job, Workload, earliest_start
from solver.model.variables import Variables

Term = cp_model.LinearExpr | cp_model.IntVar | int


def points_by_end(
    model: cp_model.CpModel, workload: Workload, variables: Variables, job: Job, parts: tuple[Part, ...]
) -> Term:
    """Give the points of some parts of a job; none where it is left out."""
    parts = tuple(part for part in parts if part[1])
    if not parts:
        return 0
    if job.started is not None:
        return points_at(workload, parts, job.started.end)
    last = _last_end(workload, job)
    if workload.spread == 0 and all(abs(price - round(price)) < 1e-6 for _, price, _ in parts):
        return sum(
            round(price) * minutes_past(model, variables, job, wanted, cap, last) for wanted, price, cap in parts
        )
    return _by_steps(model, workload, variables, job, parts, last)


def minutes_past(
    model: cp_model.CpModel, variables: Variables, job: Job, wanted: int, cap: int | None, last: int
) -> cp_model.IntVar | int:
    """Give the minutes past `wanted`, at most `cap`, of an end up to `last`; none for a job that is left out.

    Minimising presses the variable down, so it needs a floor only; past the cap the floor is the cap.
    """
    end, planned = variables.end[job.id], variables.planned[job.id]
    worst = last - wanted
    if worst <= 0:
        return 0
    late = model.new_int_var(0, worst if cap is None else min(worst, cap), f"{job.id} past {wanted}")
    variables.by_end[job.id].append((late, partial(_past, wanted, worst if cap is None else cap)))
    if cap is None or worst <= cap:
        model.add(late >= end - wanted).only_enforce_if(planned)
        return late
    past_cap = model.new_bool_var(f"{job.id} past {wanted + cap}")
    variables.by_end[job.id].append((past_cap, lambda _, at, is_planned: is_planned and at - wanted > cap))
    model.add(late >= end - wanted).only_enforce_if(planned, past_cap.negated())
    model.add(late >= cap).only_enforce_if(planned, past_cap)
    return late


def _past(wanted: int, cap: int, _start: int, end: int, is_planned: bool) -> int:
    return min(cap, max(0, end - wanted)) if is_planned else 0


def _by_steps(
    model: cp_model.CpModel, workload: Workload, variables: Variables, job: Job, parts: tuple[Part, ...], last: int
) -> Term:
    """Give the points that the table has for the end, as the sum of its steps up to there.

    A step up needs only to be paid where the end reaches it; a step down is had only there.
    """
    first = earliest_start(workload, job) + min(lengths(workload, job).values(), default=1)
    if last < first:
        return 0
    values = points_of_parts(workload, parts).at(np.arange(first, last + 1))
    steps = np.diff(values)
    terms: list[Term] = [int(values[0]) * variables.planned[job.id]]
    for i in np.flatnonzero(steps).tolist():
        minute, step = first + i + 1, int(steps[i])
        reached = _reaches(model, variables, job, minute)
        if step < 0:
            model.add(variables.end[job.id] >= minute).only_enforce_if(reached)
        terms.append(step * reached)
    return sum(terms)


def _reaches(model: cp_model.CpModel, variables: Variables, job: Job, minute: int) -> cp_model.IntVar:
    """Give a literal that is true at the least where the job ends at a minute or later."""
    if (job.id, minute) not in variables.reaches:
        reached = variables.reaches[job.id, minute] = model.new_bool_var(f"{job.id} ends at {minute} or later")
        model.add(variables.end[job.id] < minute).only_enforce_if(reached.negated())
        variables.by_end[job.id].append((reached, lambda _, end, __: end >= minute))
    return variables.reaches[job.id, minute]


def _last_end(workload: Workload, job: Job) -> int:
    ends = [b for s in workload.stringers if job.allows_stringer(s.id) for _, b in s.windows]
    return min(max(ends, default=earliest_start(workload, job)), horizon(workload))
