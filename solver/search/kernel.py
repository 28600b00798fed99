"""The one compiled entry: numba keeps its machine code on disk.

Numba notices a change of this file but not of the modules that it calls, so the digest of them all
is a constant of the kernel: another digest is another entry in the cache.
"""

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from solver.search.anneal import anneal, sample
from solver.search.build import dispatch, load
from solver.search.compiled import OPTIONS, njit, pointer_to

LOAD, DISPATCH, SAMPLE, ANNEAL = range(4)


def sources_digest() -> int:
    """Give a number that changes with any module of this package."""
    texts = (path.read_bytes() for path in sorted(Path(__file__).parent.glob("*.py")))
    return int.from_bytes(hashlib.sha256(b"".join(texts)).digest()[:7], "big")


def _make_kernel(digest: int) -> Callable[..., int]:
    @njit(cache=True, **OPTIONS)
    def kernel(task, array, of, steps, hot, cold):  # type: ignore[no-untyped-def]
        cells = pointer_to(array)
        if task == LOAD:
            load(cells, of)
        elif task == DISPATCH:
            dispatch(cells, of)
        elif task == SAMPLE:
            sample(cells, of)
        else:
            anneal(cells, of, steps, hot, cold)
        return digest

    compiled: Any = kernel
    return compiled  # type: ignore[no-any-return]


run = _make_kernel(sources_digest())
