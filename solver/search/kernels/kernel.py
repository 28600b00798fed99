"""The compiled entries: numba keeps their machine code on disk."""

from collections.abc import Callable
from typing import Any

import numba

from solver.search.kernels.anneal import anneal
from solver.search.kernels.build import build
from solver.search.kernels.layout import Search
from solver.search.kernels.memory import HERE, OPTIONS, Ints, digest_of, pointer_maker

_search_in = pointer_maker(Search)
_entry: Any = numba.njit(cache=True, nogil=True, **OPTIONS)


def _entries(digest: int) -> tuple[Callable[[Ints, bool], int], Callable[[Ints, int, float, float, bool], int]]:
    @_entry  # type: ignore[untyped-decorator]
    def run_build(memory: Ints, keeps_times: bool) -> int:
        """See `build`."""
        build(_search_in(memory), keeps_times)
        return digest

    @_entry  # type: ignore[untyped-decorator]
    def run_anneal(memory: Ints, steps: int, hot: float, cold: float, samples: bool) -> int:
        """See `anneal`."""
        anneal(_search_in(memory), steps, hot, cold, samples)
        return digest

    return run_build, run_anneal


run_build, run_anneal = _entries(digest_of(HERE))
