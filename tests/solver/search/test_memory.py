"""Records in plain memory: a compiled function reads and writes what numpy sees under the same names."""

import numba
import numpy as np

from solver.search.kernels.memory import OPTIONS, Table, compiled, pointer_maker, record_dtype, words


class Racquet:
    """A small record."""

    minutes: int
    end: int


class Bag:
    """A record with a number, a table of records and a wide table of numbers."""

    count: int
    racquets: Table[Racquet]
    wide: Table[int]
    total: int


bag_in = pointer_maker(Bag)


@compiled
def finish(bag: Bag, row: int, start: int) -> None:
    """Write an end, and what it adds."""
    racquet = bag.racquets[row]
    racquet.end = start + racquet.minutes
    bag.wide[row, 2] = racquet.end
    bag.wide[row, 0] += 1
    bag.total += bag.wide[row, 2]


@numba.njit(**OPTIONS)
def run(memory):
    bag = bag_in(memory)
    for row in range(bag.count):
        finish(bag, row, 100)
    finish(bag, 0, 7)
    return bag.total


def test_a_kernel_writes_into_the_fields_that_numpy_sees():
    racquets = np.zeros(3, record_dtype(Racquet))
    racquets["minutes"] = 20, 25, 30
    wide = np.zeros((3, 4), np.int64)
    memory = np.zeros(6, np.int64)
    places = words(Bag)
    assert places == {"count": (0, False), "racquets": (1, True), "wide": (3, True), "total": (5, False)}
    memory[:5] = 3, racquets.ctypes.data, 1, wide.ctypes.data, 4
    assert run(memory) == 120 + 125 + 130 + 27
    assert racquets["end"].tolist() == [27, 125, 130]
    assert wide.tolist() == [[2, 0, 27, 0], [1, 0, 125, 0], [1, 0, 130, 0]]
    assert memory[5] == 402
