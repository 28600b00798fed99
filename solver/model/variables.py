"""The decisions of the model: who strings which racquet at which machine, from when to when."""

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from solver.contract.calendar import horizon, lengths
from solver.contract.workload import Job, Workload, earliest_start

Literal = cp_model.IntVar
JobStringer = tuple[str, str]
JobMachine = tuple[str, str]
PlayerName = tuple[str, str]
"""Ids of a player and of a stringer or machine."""
Bench = tuple[str, str, str]
"""Ids of a job, a stringer and a machine."""
Figure = Callable[[int, int, bool], int]
"""What a variable of a job comes to by the job's start and end, and whether it is planned."""


@dataclass(kw_only=True, slots=True)
class Variables:
    """The variables of one model; keys are ids, times are minutes from the workload's origin.

    `start` and `end` of a job that is left out both lie at its earliest start.  From `by_end` on they
    are made by the goals: further variables of a job with what each comes to, and counts.
    """

    start: dict[str, cp_model.IntVar] = field(default_factory=dict)
    end: dict[str, cp_model.IntVar] = field(default_factory=dict)
    length: dict[str, cp_model.IntVar] = field(default_factory=dict)
    planned: dict[str, Literal] = field(default_factory=dict)
    at_bench: dict[Bench, Literal] = field(default_factory=dict)
    with_stringer: dict[JobStringer, Literal] = field(default_factory=dict)
    on_machine: dict[JobMachine, Literal] = field(default_factory=dict)
    knows_stringer: dict[PlayerName, Literal] = field(default_factory=dict)
    knows_machine: dict[PlayerName, Literal] = field(default_factory=dict)
    knows_kind: dict[PlayerName, Literal] = field(default_factory=dict)
    by_end: dict[str, list[tuple[cp_model.IntVar, Figure]]] = field(default_factory=lambda: defaultdict(list))
    reaches: dict[tuple[str, int], Literal] = field(default_factory=dict)
    stringers_past_first: dict[str, cp_model.IntVar] = field(default_factory=dict)
    machines_past_first: dict[str, cp_model.IntVar] = field(default_factory=dict)
    kinds_past_first: dict[str, cp_model.IntVar] = field(default_factory=dict)

    def benches_of(self, workload: Workload, job: Job) -> Iterator[tuple[Bench, Literal]]:
        """Give each stringer and machine for a job with the literal that chooses them."""
        for s in workload.stringers:
            for m in workload.machines:
                bench = (job.id, s.id, m.id)
                yield bench, self.at_bench[bench]


def new_variables(model: cp_model.CpModel, workload: Workload) -> Variables:
    """Make the variables and tie them together; the rules are stated elsewhere."""
    variables = Variables()
    for job in workload.jobs:
        _times(model, workload, job, variables)
        _choices(model, workload, job, variables)
    _acquaintances(model, workload, variables)
    return variables


def _times(model: cp_model.CpModel, workload: Workload, job: Job, variables: Variables) -> None:
    earliest = earliest_start(workload, job)
    latest = max(horizon(workload), earliest)
    if job.started is not None:
        earliest, latest = min(earliest, job.started.start), max(latest, job.started.end)
    variables.start[job.id] = model.new_int_var(earliest, latest, f"start {job.id}")
    variables.end[job.id] = model.new_int_var(earliest, latest, f"end {job.id}")
    longest = max(lengths(workload, job).values(), default=0)
    variables.length[job.id] = model.new_int_var(0, longest, f"length {job.id}")


def _choices(model: cp_model.CpModel, workload: Workload, job: Job, variables: Variables) -> None:
    planned = variables.planned[job.id] = model.new_bool_var(f"{job.id} planned")
    for s in workload.stringers:
        variables.with_stringer[job.id, s.id] = model.new_bool_var(f"{job.id} with {s.id}")
    for m in workload.machines:
        variables.on_machine[job.id, m.id] = model.new_bool_var(f"{job.id} on {m.id}")
    for s in workload.stringers:
        for m in workload.machines:
            variables.at_bench[job.id, s.id, m.id] = model.new_bool_var(f"{job.id} at {s.id} {m.id}")
    for s in workload.stringers:
        here = [variables.at_bench[job.id, s.id, m.id] for m in workload.machines]
        model.add(sum(here) == variables.with_stringer[job.id, s.id])
    for m in workload.machines:
        here = [variables.at_bench[job.id, s.id, m.id] for s in workload.stringers]
        model.add(sum(here) == variables.on_machine[job.id, m.id])
    model.add(sum(variables.with_stringer[job.id, s.id] for s in workload.stringers) == planned)
    model.add(sum(variables.on_machine[job.id, m.id] for m in workload.machines) == planned)


def _acquaintances(model: cp_model.CpModel, workload: Workload, variables: Variables) -> None:
    """A player knows everybody who strings one of their racquets, every machine used, and its kind."""
    for job in workload.jobs:
        for s in workload.stringers:
            knows = _knows(model, variables.knows_stringer, (job.player, s.id))
            model.add_implication(variables.with_stringer[job.id, s.id], knows)
        for m in workload.machines:
            knows = _knows(model, variables.knows_machine, (job.player, m.id))
            model.add_implication(variables.on_machine[job.id, m.id], knows)
            if m.kind is not None:
                model.add_implication(knows, _knows(model, variables.knows_kind, (job.player, m.kind)))


def _knows(model: cp_model.CpModel, table: dict[PlayerName, Literal], key: PlayerName) -> Literal:
    if key not in table:
        table[key] = model.new_bool_var(f"{key[0]} knows {key[1]}")
    return table[key]
