"""`python -m solver WORKLOAD.json --out PLAN.json`: plan a workload from the command line."""

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path

from solver.contract.plan import Plan
from solver.contract.reading import WorkloadError, read_workload
from solver.planning import make_plan
from solver.warming import warm_up


def main(arguments: Sequence[str] | None = None) -> int:
    """Plan a workload and write the plan; give the exit status.

    0: planned.  2: the workload has faults, each on a line of its own, or the plan cannot be
    written; then nothing is written.
    """
    options = _parser().parse_args(arguments)
    try:
        workload = read_workload(options.workload)
    except WorkloadError as error:
        print("\n".join(error.faults), file=sys.stderr)
        return 2
    warm_up(bound=True)
    plan = make_plan(
        workload,
        seconds=options.seconds,
        seed=options.seed,
        workers=options.workers,
        progress=_Lines() if options.progress else None,
    )
    try:
        Path(options.out).write_text(json.dumps(plan.to_dict(), indent=1) + "\n", encoding="utf-8")
    except OSError as error:
        print(f"{options.out}: cannot be written ({error.strerror}).", file=sys.stderr)
        return 2
    _print_costs(plan)
    return 0


class _Lines:
    """Prints the first report and then one a second."""

    def __init__(self) -> None:
        self.next_at = 0.0

    def __call__(self, seconds: float, total: int, bound: int) -> None:
        """Print how far the planning is."""
        if seconds >= self.next_at:
            self.next_at = int(seconds) + 1.0
            gap = (total - bound) / total if total else 0.0
            print(f"{seconds:6.1f} s  total {total:>10}  bound {bound:>10}  gap {gap:6.1%}", flush=True)


def _print_costs(plan: Plan) -> None:
    for heading, points in plan.costs.items():
        print(f"{heading:>15} {points:>12}")
    print(f"{'total':>15} {plan.total:>12}")
    print(f"{'bound':>15} {plan.bound:>12}   gap {plan.gap:.1%}, {plan.status}, {plan.seconds:.1f} s")


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m solver", description="Plan the work of a stringing desk.")
    parser.add_argument("workload", metavar="WORKLOAD.json")
    parser.add_argument("--out", required=True, metavar="PLAN.json", help="where the plan is written")
    parser.add_argument("--seconds", type=_seconds, default=5.0, help="time to take (5)")
    parser.add_argument("--seed", type=_whole(0), default=0, help="where random choices begin (0)")
    parser.add_argument("--workers", type=_whole(1), default=2, help="threads (2)")
    parser.add_argument("--progress", action="store_true", help="a line a second: total, bound, gap")
    return parser


def _seconds(text: str) -> float:
    value = float(text)
    if not 0 <= value <= 86_400:
        raise argparse.ArgumentTypeError(f"{text} is not from 0 to 86400 seconds")
    return value


class _whole:  # noqa: N801
    """A whole number of at least so much."""

    def __init__(self, least: int) -> None:
        self.least = least

    def __call__(self, text: str) -> int:
        value = int(text)
        if value < self.least:
            raise argparse.ArgumentTypeError(f"{text} is less than {self.least}")
        return value


if __name__ == "__main__":
    sys.exit(main())
