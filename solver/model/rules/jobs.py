"""Rules on what must be in the plan."""

from ortools.sat.python import cp_model

from solver.contract.workload import Workload, earliest_start
from solver.model.variables import Variables


def every_job_once(model: cp_model.CpModel, workload: Workload, variables: Variables) -> None:
    """A job has one bench, or is left out and then takes no time."""
    for job in workload.jobs:
        benches = [chosen for _, chosen in variables.benches_of(workload, job)]
        planned = variables.planned[job.id]
        model.add_exactly_one([*benches, planned.negated()])
        model.add(variables.end[job.id] == earliest_start(workload, job)).only_enforce_if(planned.negated())


def started_jobs_stand(model: cp_model.CpModel, workload: Workload, variables: Variables) -> None:
    """A started racquet stays with its stringer, at its machine and at its times."""
    for job in workload.jobs:
        if (s := job.started) is not None:
            model.add(variables.at_bench[job.id, s.stringer, s.machine] == 1)
            model.add(variables.start[job.id] == s.start)
            model.add(variables.end[job.id] == s.end)
