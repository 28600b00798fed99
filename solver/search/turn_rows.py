"""The turns of a workload as a table: a row for each two jobs of which one comes after the other."""

from collections.abc import Sequence

import numpy as np

from solver.contract.workload import Job
from solver.search.kernels.layout import Turn
from solver.search.kernels.memory import Ints, record_dtype


def turns_of(jobs: Sequence[Job]) -> Ints:
    """Give the rows, those of one first job together."""
    numbers = {job.id: i for i, job in enumerate(jobs)}
    pairs = sorted((numbers[name], i) for i, job in enumerate(jobs) for name in job.after if name in numbers)
    return np.array(pairs, dtype=record_dtype(Turn))


def in_turns(sequence: Ints, turns: Ints) -> Ints:
    """Give a sequence of jobs with each behind those that it comes after."""
    ahead: dict[int, list[int]] = {}
    for first, second in turns.tolist():
        ahead.setdefault(second, []).append(first)
    placed: dict[int, None] = {}
    for job in sequence.tolist():
        to_place = [job]
        while to_place:
            missing = [one for one in ahead.get(to_place[-1], ()) if one not in placed and one not in to_place]
            if missing:
                to_place.append(missing[0])
            else:
                placed[to_place.pop()] = None
    return np.array(list(placed), dtype=np.int64)
