"""The points of a job by its end, in the model: straight pieces where ends are certain, else a table."""

from functools import partial

import numpy as np
from ortools.sat.python import cp_model

from solver.contract.calendar import horizon
from solver.contract.end_points import EndPoints, Part, points_at, points_of_parts
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
    return _from_table(model, variables, job, points_of_parts(workload, parts), last)


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


def _from_table(model: cp_model.CpModel, variables: Variables, job: Job, row: EndPoints, last: int) -> Term:
    """Give the points that the table has for the end; none for a job that is left out."""
    start, stop = row.first - 1, min(last, row.first + len(row.values) - 1)
    if stop <= start:
        return 0
    values = row.at(np.arange(start, stop + 1)).tolist()
    where = _within(model, variables, job, start, stop)
    found, paid = (model.new_int_var(min(values), max(values), f"{job.id} by its end") for _ in range(2))
    model.add_element(where - start, values, found)
    model.add(paid >= found).only_enforce_if(variables.planned[job.id])
    variables.by_end[job.id] += [
        (found, lambda _, end, __: values[min(max(end, start), stop) - start]),
        (paid, lambda _, end, is_planned: values[min(max(end, start), stop) - start] if is_planned else values[0]),
    ]
    more = minutes_past(model, variables, job, stop, None, last) if row.slope else 0
    return paid + row.slope * more


def _within(model: cp_model.CpModel, variables: Variables, job: Job, start: int, stop: int) -> cp_model.IntVar:
    """Give the end of a job, but no earlier than `start` and no later than `stop`."""
    end = variables.end[job.id]
    later = model.new_int_var(start, 1 << 40, f"{job.id} in the table")
    within = model.new_int_var(start, stop, f"{job.id} in the table")
    model.add_max_equality(later, [end, start])
    model.add_min_equality(within, [later, stop])
    variables.by_end[job.id] += [
        (later, lambda _, at, __: max(at, start)),
        (within, lambda _, at, __: min(max(at, start), stop)),
    ]
    return within


def _last_end(workload: Workload, job: Job) -> int:
    ends = [b for s in workload.stringers if job.allows_stringer(s.id) for _, b in s.windows]
    return min(max(ends, default=earliest_start(workload, job)), horizon(workload))
