"""Rules on when a job may lie."""

from collections.abc import Sequence

from ortools.sat.python import cp_model

from solver.contract.calendar import lengths
from solver.contract.workload import Span, Workload, earliest_start
from solver.model.variables import Variables


def not_before_ready(model: cp_model.CpModel, workload: Workload, variables: Variables) -> None:
    """A job starts at or after `now` and its `ready_from`."""
    for job in workload.jobs:
        if job.started is None:
            model.add(variables.start[job.id] >= earliest_start(workload, job))


def takes_bench_time(model: cp_model.CpModel, workload: Workload, variables: Variables) -> None:
    """A job takes exactly its minutes at its stringer's pace."""
    for job in workload.jobs:
        needed = lengths(workload, job)
        taken = sum(needed[s.id] * variables.with_stringer[job.id, s.id] for s in workload.stringers)
        model.add(variables.length[job.id] == taken)
        model.add(variables.end[job.id] == variables.start[job.id] + variables.length[job.id])


def within_stringer_hours(model: cp_model.CpModel, workload: Workload, variables: Variables) -> None:
    """A job lies inside one window of its stringer, whole."""
    for job in workload.jobs:
        needed = lengths(workload, job)
        for s in workload.stringers if job.started is None else ():
            starts = _starts(s.windows, needed[s.id])
            chosen = variables.with_stringer[job.id, s.id]
            model.add_linear_expression_in_domain(variables.start[job.id], starts).only_enforce_if(chosen)


def within_machine_hours(model: cp_model.CpModel, workload: Workload, variables: Variables) -> None:
    """A job lies inside one window of its machine, whole."""
    for job in workload.jobs:
        needed = lengths(workload, job)
        for m in workload.machines if job.started is None else ():
            for s in workload.stringers if m.windows is not None else ():
                starts = _starts(m.windows or (), needed[s.id])
                chosen = variables.at_bench[job.id, s.id, m.id]
                model.add_linear_expression_in_domain(variables.start[job.id], starts).only_enforce_if(chosen)


def _starts(windows: Sequence[Span], length: int) -> cp_model.Domain:
    spans = [[a, b - length] for a, b in windows if b - length >= a]
    return cp_model.Domain.from_intervals(spans)
