"""`python -m solver.measure FOLDER`: how good plans are, beside three rivals in the same run."""

import argparse
import json
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TypeVar

from solver.changes import changed
from solver.contract.plan import Plan, in_order
from solver.contract.reading import WorkloadError, read_workload
from solver.contract.workload import Workload
from solver.dispatch import Draft, earliest_due, first_come
from solver.judge.check import check_plan
from solver.judge.costs import cost_of_assignments
from solver.model.solve import solve
from solver.planning import make_plan
from solver.warming import warm_up

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
            f"{self.workload:<14}{self.by:<16}{_or_dash(self.asked, '6g')}{_or_dash(self.total, '12d')}"
            f"{_or_dash(self.best_known, '12d')}{_or_dash(ratio, '8.4f')}{_or_dash(self.bound, '10d')}"
            f"{_or_dash(gap, '8.1%')}{self.took:7.2f}"
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
            draft, took = _timed(partial(rule, workload, workload.points))
            yield _row(workload, name, None, draft, best_known, took)
    for asked in seconds:
        plan, took = _timed(partial(make_plan, workload, seconds=asked, seed=seed, workers=workers))
        _must_hold(workload, plan)
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
        plan, took = _timed(partial(make_plan, after, seconds=seconds, seed=seed, workers=workers, previous=before))
        _must_hold(after, best)
        _must_hold(after, plan)
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
        solved, took = _timed(
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
        _must_hold(workload, plan)
        total = plan.total
    return Row(workload=workload.name, by=by, asked=asked, total=total, best_known=best_known, bound=None, took=took)


def _must_hold(workload: Workload, plan: Plan) -> None:
    faults = check_plan(workload, plan)
    if faults or plan.bound > plan.total:
        raise AssertionError(f"{workload.name}: {faults or 'the bound exceeds the total'}")


def _timed(action: Callable[[], T]) -> tuple[T, float]:
    began = time.perf_counter()
    return action(), time.perf_counter() - began


def _or_dash(value: float | None, form: str) -> str:
    width = form.partition(".")[0].rstrip("dg")
    return f"{'-':>{width}}" if value is None else f"{value:{form}}"


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the table; give exit status 2 when the folder has no workload that can be read."""
    options = _parser().parse_args(arguments)
    folder = Path(options.folder)
    known = folder / "best_known.json"
    best_known = json.loads(known.read_text(encoding="utf-8")) if known.exists() else {}
    paths = [p for p in sorted(folder.glob("*.json")) if p != known]
    chosen = [p for p in paths if not options.only or any(p.stem.startswith(o) for o in options.only)]
    if not chosen:
        print(f"{folder}: holds no workload of these names.", file=sys.stderr)
        return 2
    warm_up()
    print(COLUMNS)
    for path in chosen:
        try:
            workload = read_workload(path)
        except WorkloadError as error:
            print("\n".join(error.faults), file=sys.stderr)
            return 2
        for row in _rows(workload, best_known.get(path.stem), options):
            print(row, flush=True)
    return 0


def _rows(workload: Workload, best_known: int | None, options: argparse.Namespace) -> Iterator[Row]:
    each = {"seed": options.seed, "workers": options.workers}
    if options.changes:
        return rows_of_changes(workload, min(options.seconds), **each)
    return rows_for(workload, best_known, options.seconds, rivals=options.rivals, **each)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m solver.measure", description=__doc__)
    parser.add_argument("folder", help="holds workloads, and the best totals known in best_known.json")
    parser.add_argument("--only", nargs="+", metavar="NAME", help="workloads whose names begin so")
    parser.add_argument("--seconds", nargs="+", type=float, default=[1.0, 5.0, 20.0], help="1 5 20")
    parser.add_argument("--no-rivals", dest="rivals", action="store_false", help="only make_plan")
    parser.add_argument(
        "--changes", action="store_true", help="plan on after changes, for the least of the seconds, beside 20 s"
    )
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--workers", type=int, default=2)
    return parser


if __name__ == "__main__":
    sys.exit(main())
