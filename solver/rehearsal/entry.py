"""The one compiled entry of the rehearsal; numba keeps its machine code on disk.

Numba notices a change of this file but not of the modules that it calls, so the digest of them all
is a constant of the kernel: another digest is another entry in the cache.
"""

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from solver.rehearsal import table_columns as col
from solver.rehearsal.exchange import MOST_TAKEN
from solver.rehearsal.happenings import play_day
from solver.rehearsal.jit import OPTIONS, njit

MACHINES = 64
PARTS = ("table_columns", "jit", "place_costs", "laying_out", "insertion", "exchange", "replan", "happenings")


def _digest() -> int:
    texts = (Path(__file__).with_name(f"{name}.py").read_bytes() for name in PARTS)
    return int.from_bytes(hashlib.sha256(b"".join(texts)).digest()[:7], "big")


def _make_kernel(digest: int) -> Callable[..., int]:
    @njit(cache=True, **OPTIONS)
    def kernel(  # type: ignore[no-untyped-def]
        jobs, factors, arrivals, news, tables, numbers, table_from, stringers, counts, history, scalars, table, most
    ):
        n, m = stringers.shape[0], most
        play_day(
            jobs, factors, arrivals, news, tables, numbers, table_from, stringers, counts, history, scalars, table,
            np.empty((n, m), np.int64), np.empty((n, m), np.int64), np.zeros((n, m + 1, col.PREFIX_COLUMNS), np.int64),
            np.zeros(MACHINES, np.int64), np.empty(len(arrivals), np.int64), np.empty(MOST_TAKEN, np.int64),
            np.empty(n, np.int64),
        )  # fmt: skip
        return digest

    compiled: Any = kernel
    return compiled  # type: ignore[no-any-return]


run = _make_kernel(_digest())
