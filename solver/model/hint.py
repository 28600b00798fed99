"""A plan as the start of the search: the value that it gives to every variable of the model."""

from collections import defaultdict
from collections.abc import Mapping

from ortools.sat.python import cp_model

from solver.contract.plan import Assignment
from solver.contract.workload import Workload, earliest_start, likeness
from solver.dispatch import Draft
from solver.model.variables import Variables

Chosen = Mapping[str, Assignment]


def give_hint(model: cp_model.CpModel, workload: Workload, variables: Variables, draft: Draft) -> None:
    """Hint every variable; a part left open would cost the search the whole hint."""
    chosen = {a.job: a for a in _in_model_order(workload, draft)}
    _hint_times(model, workload, variables, chosen)
    _hint_benches(model, variables, chosen)
    _hint_acquaintances(model, workload, variables, chosen)


def _in_model_order(workload: Workload, draft: Draft) -> list[Assignment]:
    """Exchange equal racquets of one player so that they end in the order of the workload."""
    by_kind: dict[object, list[Assignment]] = defaultdict(list)
    chosen = {a.job: a for a in draft[0]}
    kinds = {job.id: likeness(workload, job) for job in workload.jobs}
    for a in sorted(draft[0], key=lambda a: a.end, reverse=True):
        by_kind[kinds[a.job]].append(a)
    out = []
    for job in workload.jobs:
        if job.started is not None:
            out.append(chosen[job.id])
        elif by_kind[kinds[job.id]]:
            a = by_kind[kinds[job.id]].pop()
            out.append(Assignment(job=job.id, stringer=a.stringer, machine=a.machine, start=a.start, end=a.end))
    return out


def _hint_times(model: cp_model.CpModel, workload: Workload, variables: Variables, chosen: Chosen) -> None:
    for job in workload.jobs:
        a, earliest = chosen.get(job.id), earliest_start(workload, job)
        start, end = (earliest, earliest) if a is None else (a.start, a.end)
        model.add_hint(variables.planned[job.id], a is not None)
        model.add_hint(variables.start[job.id], start)
        model.add_hint(variables.end[job.id], end)
        model.add_hint(variables.length[job.id], end - start)
        for variable, figure in variables.by_end[job.id]:
            model.add_hint(variable, figure(start, end, a is not None))


def _hint_benches(model: cp_model.CpModel, variables: Variables, chosen: Chosen) -> None:
    places = {(a.job, a.stringer, a.machine) for a in chosen.values()}
    with_stringer = {place[:2] for place in places}
    on_machine = {(job, machine) for job, _, machine in places}
    for bench, literal in variables.at_bench.items():
        model.add_hint(literal, bench in places)
    for pair, literal in variables.with_stringer.items():
        model.add_hint(literal, pair in with_stringer)
    for pair, literal in variables.on_machine.items():
        model.add_hint(literal, pair in on_machine)


def _hint_acquaintances(model: cp_model.CpModel, workload: Workload, variables: Variables, chosen: Chosen) -> None:
    players = {job.id: job.player for job in workload.jobs}
    kinds = {m.id: m.kind for m in workload.machines}
    stringers = {(players[a.job], a.stringer) for a in chosen.values()}
    machines = {(players[a.job], a.machine) for a in chosen.values()}
    of_kind = {(player, kind) for player, name in machines if (kind := kinds[name]) is not None}
    for known, table, past_first in (
        (stringers, variables.knows_stringer, variables.stringers_past_first),
        (machines, variables.knows_machine, variables.machines_past_first),
        (of_kind, variables.knows_kind, variables.kinds_past_first),
    ):
        for key, literal in table.items():
            model.add_hint(literal, key in known)
        for player, extra in past_first.items():
            model.add_hint(extra, max(0, sum(name == player for name, _ in known) - 1))
