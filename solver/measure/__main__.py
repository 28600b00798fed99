"""`python -m solver.measure FOLDER`: plan the workloads of a folder and print how good the plans are."""

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from solver.contract.reading import WorkloadError, read_workload
from solver.contract.workload import Workload
from solver.measure.rows import COLUMNS, Row, rows_for, rows_of_changes
from solver.measure.ways import HEAD, lines_of_ways
from solver.warming import warm_up


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
    warm_up(bound=True)
    print(HEAD if options.ways else COLUMNS)
    for path in chosen:
        try:
            workload = read_workload(path)
        except WorkloadError as error:
            print("\n".join(error.faults), file=sys.stderr)
            return 2
        for row in _lines(workload, best_known.get(path.stem), options):
            print(row, flush=True)
    return 0


def _lines(workload: Workload, best_known: int | None, options: argparse.Namespace) -> Iterator[Row] | Iterator[str]:
    if options.first is not None:
        name, best_known = f"{workload.name}, first {options.first}", None
        workload = replace(workload, jobs=workload.jobs[: options.first], name=name)
    each = {"seed": options.seed, "workers": options.workers}
    if options.ways:
        return lines_of_ways(workload, min(options.seconds), **each)
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
    parser.add_argument("--first", type=int, metavar="N", help="only the first N jobs of each workload")
    parser.add_argument(
        "--ways", action="store_true", help="the model alone and with the search, for the least of the seconds"
    )
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--workers", type=int, default=2)
    return parser


if __name__ == "__main__":
    sys.exit(main())
