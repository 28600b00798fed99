"""Random numbers for the kernels: xorshift64* (Vigna 2016, ACM TOMS 42:30)."""

import numpy as np

from solver.search.compiled import compiled

_MULTIPLIER = np.uint64(2685821657736338717)


@compiled
def draw(cells, of, n):  # type: ignore[no-untyped-def]
    """A whole number from 0 to ``n - 1``."""
    x = np.uint64(cells[of.random])
    x ^= x >> np.uint64(12)
    x ^= x << np.uint64(25)
    x ^= x >> np.uint64(27)
    cells[of.random] = np.int64(x)
    return np.int64(((x * _MULTIPLIER) >> np.uint64(33)) * np.uint64(n) >> np.uint64(31))


def seeded(seed: int) -> int:
    """A generator's state for ``seed``; never zero, which xorshift cannot leave."""
    mixed = np.random.SeedSequence(seed & 0xFFFFFFFFFFFF).generate_state(1, np.uint64)
    return int(mixed.view(np.int64)[0]) | 1
