"""What the model of record does alone, and what the compiled search adds."""

from collections.abc import Iterator

from solver.contract.plan import Plan, in_order
from solver.contract.workload import Workload
from solver.course import MOST_FOR_PROOF
from solver.dispatch import Draft, earliest_due, first_come
from solver.judge.costs import cost_of_assignments
from solver.measure.rows import must_hold
from solver.model.neighbourhoods import improve_by_parts
from solver.model.solve import better, solve
from solver.planning import make_plan

HEAD = """| workload | jobs | stringers | model alone | with the search | bound |
| --- | --- | --- | --- | --- | --- |"""


def model_alone(workload: Workload, seconds: float, *, seed: int, workers: int) -> Plan:
    """Plan as `make_plan` does, but without the compiled search: a quick rule, then the model.

    Parameters
    ----------
    workload : Workload
        What is planned: as a whole up to `MOST_FOR_PROOF` jobs, part by part beyond.
    seconds : float
        Time for the model.
    seed, workers : int
        Where its random choices begin, and its threads where the whole is solved.

    Returns
    -------
    Plan
        Keeps every rule; its bound is 0 where the whole was not solved.
    """
    points, bound = workload.points, 0
    draft = better(workload, points, (rule(workload, points) for rule in (first_come, earliest_due)))
    if sum(job.started is None for job in workload.jobs) <= MOST_FOR_PROOF:
        solved = solve(workload, points, seconds=seconds, seed=seed, workers=workers, hint=draft)
        draft, bound = solved.draft or draft, max(0, solved.bound)
    else:
        draft = improve_by_parts(workload, points, draft, seconds=seconds, seed=seed)
    return _as_plan(workload, draft, bound)


def lines_of_ways(workload: Workload, seconds: float, *, seed: int, workers: int) -> Iterator[str]:
    """Give the line of a table in Markdown: totals of the model alone and of both, and the proved bound."""
    alone = model_alone(workload, seconds, seed=seed, workers=workers)
    both = make_plan(workload, seconds=seconds, seed=seed, workers=workers, gaps=False)
    for plan in (alone, both):
        must_hold(workload, plan)
    figures = (len(workload.jobs), len(workload.stringers), alone.total, both.total, max(alone.bound, both.bound))
    yield f"| {workload.name} | {' | '.join(f'{figure:,}'.replace(',', ' ') for figure in figures)} |"


def _as_plan(workload: Workload, draft: Draft, bound: int) -> Plan:
    costs = cost_of_assignments(workload, *draft)
    return Plan(
        status="feasible",
        assignments=in_order(draft[0]),
        unplaced=tuple(draft[1]),
        costs=costs,
        bound=bound,
        workload_name=workload.name,
    )
