"""Solving the model of record: variables, rules and goals put together and read back."""

import math
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from ortools.sat.python import cp_model

from solver.contract.plan import Assignment
from solver.contract.points import Points
from solver.contract.workload import Job, Workload, likeness, priced
from solver.dispatch import Draft
from solver.judge.costs import cost_of_assignments
from solver.model.goals import GOALS
from solver.model.hint import give_hint
from solver.model.rules import RULES
from solver.model.variables import Variables, new_variables
from solver.warming import solving

NO_BOUND = 1e15
Found = Callable[[int, int], bool]
"""Told the total and the bound of each better plan; True stops the search."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Solved:
    """What a solve gave: a draft (None where the time was too short), its bound, whether proved best."""

    draft: Draft | None
    bound: int
    is_optimal: bool


def solve(
    workload: Workload,
    points: Points,
    *,
    seconds: float,
    seed: int = 0,
    workers: int = 1,
    hint: Draft | None = None,
    deterministic: float | None = None,
    is_part: bool = False,
    found: Found | None = None,
) -> Solved:
    """Solve a workload with the whole model.

    Parameters
    ----------
    workload : Workload
        Any workload; a few hundred jobs and more need longer than a desk will wait.
    points : Points
        What each shortcoming costs.
    seconds : float
        Wall time for building and solving.
    seed, workers : int
        One worker and a `deterministic` limit give the same draft each time.
    hint : draft, optional
        A plan to start from.
    deterministic : float, optional
        A limit in the solver's own units of work.
    is_part : bool
        Whether the workload is a part of a few jobs, for which preparing much does not pay.
    found : callable, optional
        Told of each better plan.

    Returns
    -------
    Solved
    """
    began = time.perf_counter()
    workload = priced(workload, points)
    model = cp_model.CpModel()
    variables = build(model, workload, points)
    if hint is not None:
        give_hint(model, workload, variables, hint)
    solver = _solver(seed, workers, is_part)
    solver.parameters.max_time_in_seconds = max(0.01, seconds - (time.perf_counter() - began))
    if deterministic is not None:
        solver.parameters.max_deterministic_time = deterministic
    with solving():
        status = solver.solve(model, _Told(found) if found else None)
    return _read_back(solver, status, workload, variables)


def _solver(seed: int, workers: int, is_part: bool) -> cp_model.CpSolver:
    """Give a solver; for a part it prepares less: measured on parts of 8 jobs, a solve takes an eighth of the time."""
    solver = cp_model.CpSolver()
    solver.parameters.random_seed = seed
    solver.parameters.num_workers = workers
    if is_part:
        solver.parameters.linearization_level = 0
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.symmetry_level = 0
    return solver


def build(model: cp_model.CpModel, workload: Workload, points: Points, *, orders_equal_jobs: bool = True) -> Variables:
    """State every rule and every goal of a workload in `model`."""
    variables = new_variables(model, workload)
    for rule in RULES:
        rule(model, workload, variables)
    if orders_equal_jobs:
        _order_equal_jobs(model, workload, variables)
    model.minimize(sum(goal(model, workload, variables, points) for goal in GOALS.values()))
    return variables


def _order_equal_jobs(model: cp_model.CpModel, workload: Workload, variables: Variables) -> None:
    """Let equal racquets of one player end in the order in which they stand in the workload.

    Any plan can be relabelled so at no cost; without this the search proves each order apart.
    """
    last: dict[tuple[object, ...], Job] = {}
    for job in workload.jobs:
        if job.started is not None:
            continue
        key = likeness(workload, job)
        if (before := last.get(key)) is not None:
            model.add_implication(variables.planned[job.id], variables.planned[before.id])
            model.add(variables.end[before.id] <= variables.end[job.id]).only_enforce_if(variables.planned[job.id])
        last[key] = job


def _read_back(
    solver: cp_model.CpSolver, status: cp_model.CpSolverStatus, workload: Workload, variables: Variables
) -> Solved:
    bound = math.ceil(max(-NO_BOUND, solver.best_objective_bound) - 1e-6)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Solved(draft=None, bound=bound, is_optimal=False)
    assignments = [
        Assignment(
            job=job,
            stringer=stringer,
            machine=machine,
            start=solver.value(variables.start[job]),
            end=solver.value(variables.end[job]),
        )
        for (job, stringer, machine), literal in variables.at_bench.items()
        if solver.value(literal)
    ]
    left_out = [job.id for job in workload.jobs if not solver.value(variables.planned[job.id])]
    return Solved(draft=(assignments, left_out), bound=bound, is_optimal=status == cp_model.OPTIMAL)


def total_of(workload: Workload, draft: Draft, points: Points) -> int:
    """Give the total points of a draft."""
    return sum(cost_of_assignments(workload, *draft, points).values())


def better(workload: Workload, points: Points, drafts: Iterable[Draft]) -> Draft:
    """Give the draft with the least total, the first of equals."""
    return min(drafts, key=lambda draft: total_of(workload, draft, points))


class _Told(cp_model.CpSolverSolutionCallback):
    def __init__(self, found: Found) -> None:
        super().__init__()
        self._found = found

    def on_solution_callback(self) -> None:
        """Pass on what was found."""
        if self._found(round(self.objective_value), round(self.best_objective_bound)):
            self.stop_search()
