"""Workers at shares of the stringers: each plans some of them for a moment, then all is put together.

Two searches of everything find little more than one; two searches of a half each make twice the
moves of one search.  The stringers are divided anew many times a second, so that every two soon
belong to one worker.  What a worker cannot see meanwhile (a player's racquet in another share,
another's use of a shared machine) is counted again when the parts are put together.
"""

import threading
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from solver.search.kernels.kernel import run_build
from solver.search.schedule import Cooling, clock
from solver.search.state import State
from solver.search.tables import Records

FEWEST_STRINGERS = 4
"""Stringers that each worker needs: with fewer, most exchanges would cross the shares."""
_EPOCH = 0.06
"""Seconds for which a share stands, where the clock counts."""
_SLICES = 10
"""Slices within them."""
SLICE = _EPOCH / _SLICES


class Shares:
    """The stringers of a plan, divided anew for each epoch among workers who wait for each other."""

    def __init__(self, states: list[State], seed: int) -> None:
        self.states = states
        self.random = np.random.default_rng(seed & 0xFFFFFFFFFFFF)
        self.barrier = threading.Barrier(len(states))
        self.table: Records = states[0].tables["given"].copy()
        self.jobs: list[NDArray[np.bool_]] = []
        self.stringers: list[NDArray[np.bool_]] = []

    def together(self, act: Callable[[], None]) -> None:
        """Wait for all workers, let one of them act, and go on."""
        if self.barrier.wait() == 0:
            act()
        self.barrier.wait()

    def begin(self, table: Records | None = None) -> None:
        """Divide the places of a plan; by default those of the cheapest that a worker has now."""
        if table is None:
            best = min(self.states, key=lambda state: state["total"])
            table = best.tables["places"]
        self.table[:] = table
        self._divide()

    def merge(self) -> None:
        """Put the workers' parts together, and divide anew."""
        for state, jobs in zip(self.states, self.jobs, strict=True):
            self.table[jobs] = state.tables["places"][jobs]
        self._divide()

    def _divide(self) -> None:
        """Deal out the stringers, and the unplaced jobs, at random."""
        count, nobody = len(self.states), len(self.states[0].names.stringers)
        dealt = self.random.permutation(nobody) % count
        stringer = self.table["stringer"]
        holder = np.where(
            stringer == nobody, self.random.integers(0, count, len(stringer)), np.append(dealt, 0)[stringer]
        )
        self.stringers = [dealt == i for i in range(count)]
        self.jobs = [holder == i for i in range(count)]

    def load(self, number: int) -> None:
        """Let a worker take the whole plan over."""
        state = self.states[number]
        state.give_places(self.table)
        run_build(state.record, True)

    def work(self, number: int, cooling: Cooling) -> None:
        """Let a worker anneal its share of the plan for an epoch."""
        state = self.states[number]
        self.load(number)
        state.own(self.jobs[number], self.stringers[number])
        until = clock() + _EPOCH if cooling.steps is None else float("inf")
        for _ in range(10 * _SLICES if cooling.steps is None else _SLICES):
            if cooling.done >= 1.0 or clock() >= until:
                break
            cooling.run_slice(state)
        state.own_all()
