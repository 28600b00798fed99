"""Rules on who and which machine has a job."""

from ortools.sat.python import cp_model

from solver.contract.calendar import lengths
from solver.contract.workload import Workload
from solver.model.variables import Variables


def goes_where_it_may(model: cp_model.CpModel, workload: Workload, variables: Variables) -> None:
    """The lists and pins of a job hold."""
    for job in workload.jobs:
        for (_, stringer, machine), chosen in variables.benches_of(workload, job):
            if job.started is None and not job.may_go_to(stringer, machine):
                model.add(chosen == 0)


def keeps_its_turn(model: cp_model.CpModel, workload: Workload, variables: Variables) -> None:
    """A job starts when those that it comes after with the same stringer have ended."""
    for job in workload.jobs:
        for ahead in workload.job_by_id.keys() & job.after if job.started is None else ():
            for s in workload.stringers:
                both = variables.with_stringer[job.id, s.id], variables.with_stringer[ahead, s.id]
                model.add(variables.start[job.id] >= variables.end[ahead]).only_enforce_if(both)


def one_racquet_a_stringer(model: cp_model.CpModel, workload: Workload, variables: Variables) -> None:
    """A stringer has one racquet at a time."""
    needed = {job.id: lengths(workload, job) for job in workload.jobs}
    for s in workload.stringers:
        model.add_no_overlap(
            [
                model.new_optional_fixed_size_interval_var(
                    variables.start[job.id],
                    needed[job.id][s.id],
                    variables.with_stringer[job.id, s.id],
                    f"{job.id} {s.id}",
                )
                for job in workload.jobs
            ]
        )


def one_racquet_a_machine(model: cp_model.CpModel, workload: Workload, variables: Variables) -> None:
    """A machine holds one racquet at a time."""
    for m in workload.machines:
        model.add_no_overlap(
            [
                model.new_optional_interval_var(
                    variables.start[job.id],
                    variables.length[job.id],
                    variables.end[job.id],
                    variables.on_machine[job.id, m.id],
                    f"{job.id} {m.id}",
                )
                for job in workload.jobs
            ]
        )
