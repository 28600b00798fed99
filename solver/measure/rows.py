"""How good plans are, beside three rivals in the same run, and after changes."""

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

from solver.contract.plan import Plan, in_order
from solver.contract.workload import Workload
from solver.dispatch import Draft, earliest_due, first_come
from solver.judge.check import check_plan
from solver.judge.costs import cost_of_assignments
from solver.measure.changes import changed
from solver.model.solve import solve
from solver.planning import make_plan

MOST_FOR_WHOLE_MODEL = 60_000
"""Jobs times stringers times machines, beyond which the whole model does not fit the memory allowed."""
T = TypeVar("T")
COLUMNS = f"{'workload':<14}{'by':<16}{'asked':>6}{'total':>12}{'best known':>12}{'ratio':>8}{'bound':>10}{'gap':>8}{'took':>7}"  # noqa: E501


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """One line of the table; `total` is None where the rival had no plan in the time."""

    workload: str
    by: str
    asked: float | None
    total: int | None
    best_known: int | None
    bound: int | None
    took: float

    def __str__(self) -> str:
        """Give the line as printed."""
        ratio = self.total / self.best_known if self.total is not None and self.best_known else None
        gap = (self.total - self.bound) / self.total if self.total and self.bound is not None else None
        return (
            f"{self.workload:<14}{self.by:<16}{or_dash(self.asked, '6g')}{or_dash(self.total, '12d')}"
            f"{or_dash(self.best_known, '12d')}{or_dash(ratio, '8.4f')}{or_dash(self.bound, '10d')}"
            f"{or_dash(gap, '8.1%')}{self.took:7.2f}"
        )


def rows_for(
    workload: Workload, best_known: int | None, seconds: Sequence[float], *, rivals: bool, seed: int, workers: int
) -> Iterator[Row]:
    """Plan a workload by each rival and by `make_plan`, for each time; every plan is checked.

    Raises
    ------
    AssertionError
        When a plan breaks a rule, or its total or bound does not hold.
    """
    if rivals:
        for rule, name in ((first_come, "first come"), (earliest_due, "earliest due")):
            draft, took = timed(partial(rule, workload, workload.points))
            yield _row(workload, name, None, draft, best_known, took)
    for asked in seconds:
        plan, took = timed(partial(make_plan, workload, seconds=asked, seed=seed, workers=workers, gaps=False))
        must_hold(workload, plan)
        yield Row(
            workload=workload.name,
            by="make_plan",
            asked=asked,
            total=plan.total,
            best_known=best_known,
            bound=plan.bound,
            took=took,
        )
        if rivals:
            yield _whole_model(workload, best_known, asked, seed=seed, workers=workers)


def rows_of_changes(
    workload: Workload, seconds: float, *, seed: int, workers: int, thorough: float = 20.0
) -> Iterator[Row]:
    """Change a planned workload and plan on for some seconds, beside a thorough plan of the change.

    The thorough plan takes the place of the best known; every plan is checked.
    """
    before = make_plan(workload, seconds=thorough, seed=seed, workers=workers)
    for name, after in changed(workload, before):
        best = make_plan(after, seconds=thorough, seed=seed, workers=workers, previous=before)
        plan, took = timed(
            partial(make_plan, after, seconds=seconds, seed=seed, workers=workers, previous=before, gaps=False)
        )
        must_hold(after, best)
        must_hold(after, plan)
        yield Row(
            workload=workload.name,
            by=name,
            asked=seconds,
            total=plan.total,
            best_known=min(best.total, plan.total),
            bound=max(plan.bound, best.bound),
            took=took,
        )


def _whole_model(workload: Workload, best_known: int | None, asked: float, *, seed: int, workers: int) -> Row:
    """Give one plain CP-SAT model over everything the same time, with the earliest due as its hint."""
    draft, took = None, 0.0
    if len(workload.jobs) * len(workload.stringers) * len(workload.machines) <= MOST_FOR_WHOLE_MODEL:
        hint = earliest_due(workload, workload.points)
        solved, took = timed(
            partial(solve, workload, workload.points, seconds=asked, seed=seed, workers=workers, hint=hint)
        )
        draft = solved.draft
    return _row(workload, "whole CP-SAT", asked, draft, best_known, took)


def _row(
    workload: Workload,
    by: str,
    asked: float | None,
    draft: Draft | None,
    best_known: int | None,
    took: float,
) -> Row:
    total = None
    if draft is not None:
        costs = cost_of_assignments(workload, *draft, workload.points)
        plan = Plan(status="feasible", assignments=in_order(draft[0]), unplaced=tuple(draft[1]), costs=costs)
        must_hold(workload, plan)
        total = plan.total
    return Row(workload=workload.name, by=by, asked=asked, total=total, best_known=best_known, bound=None, took=took)


def must_hold(workload: Workload, plan: Plan) -> None:
    """Refuse a plan that breaks a rule, or whose bound exceeds its total."""
    faults = check_plan(workload, plan)
    if faults or plan.bound > plan.total:
        raise AssertionError(f"{workload.name}: {faults or 'the bound exceeds the total'}")


def timed(action: Callable[[], T]) -> tuple[T, float]:
    """Give what an action gives, and its seconds."""
    began = time.perf_counter()
    return action(), time.perf_counter() - began


def or_dash(value: float | None, form: str) -> str:
    """Give a figure in a form, or a dash of its width."""
    width = form.partition(".")[0].rstrip("dg")
    return f"{'-':>{width}}" if value is None else f"{value:{form}}"
