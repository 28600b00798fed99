"""The bound of a workload: what is started, and the priced service of the rest.

The prices of minutes are found by the volume algorithm (Barahona and Anbil 2000, Mathematical
Programming 87:385): minutes that are taken too often on average become dearer.
"""

import time
from typing import Any

import numpy as np
from numpy.typing import NDArray

from solver.bound.kernel import run
from solver.bound.room import new_room
from solver.bound.table import SCALE, Ints, new_table
from solver.calendar import started_assignments
from solver.costs import cost_of_assignments
from solver.part import part_of
from solver.points import Points
from solver.workload import Workload

SMALLEST_STEP = 1e-3
PATIENCE = 5
"""Rounds without gain after which the steps become smaller."""


class Ascent:
    """A bound that grows while there is time; it is valid at every moment.

    Parameters
    ----------
    workload : Workload
        Any workload.
    points : Points
        What each shortcoming costs; any figures.
    """

    def __init__(self, workload: Workload, points: Points) -> None:
        self._fixed = sum(cost_of_assignments(workload, started_assignments(workload), (), points).values())
        rest = part_of(workload, {job.id for job in workload.jobs if job.started is None})
        self._table = new_table(rest, points)
        self._room = new_room(self._table)
        self._prices: Ints = np.zeros(self._table.hours.shape, np.int64)
        self._trial = self._prices
        self._average: NDArray[np.float64] | None = None
        self._best = 0
        self._step, self._fails, self._in_turn = 1.0, 0, False

    @property
    def bound(self) -> int:
        """Give the best bound so far, in points."""
        return self._fixed - (-self._best // SCALE)

    @property
    def is_done(self) -> bool:
        """Whether more rounds would hardly raise the bound."""
        return self._in_turn and self._step < SMALLEST_STEP

    def climb(self, target: int, *, until: float | None = None, rounds: int | None = None) -> int:
        """Raise the bound towards `target`, the total of a plan, until a moment or for some rounds.

        `until` is on the clock of `time.perf_counter`.  Gives the bound, which is never above the
        total of the best plan.
        """
        while not self.is_done and self.bound < target and rounds != 0:
            self._one_round((target - self._fixed) * SCALE)
            rounds = None if rounds is None else rounds - 1
            if until is not None and time.perf_counter() >= until:
                break
        return self.bound

    def _one_round(self, target: int) -> None:
        value = run(self._table, self._room, self._trial, int(self._in_turn))
        gain = value - self._best
        if gain > 0:
            self._prices, self._best, self._fails = self._trial, value, 0
            if gain > 1e-4 * abs(value):
                self._step = min(2.0, 1.1 * self._step)
        else:
            self._fails += 1
            if self._fails >= PATIENCE:
                self._step, self._fails = 0.7 * self._step, 0
        if not self._in_turn and self._step < 10 * SMALLEST_STEP:
            self._in_turn, self._step = True, 0.2
        self._trial = self._next_prices(target)

    def _next_prices(self, target: int) -> Ints:
        use: Any = self._room.use
        if self._average is None:
            self._average = use.astype(np.float64)
        else:
            self._average += 0.1 * (use - self._average)
        over = self._average - self._table.hours
        over[(over < 0) & (self._prices == 0)] = 0.0
        length = float((over * over).sum())
        step = self._step * max(1.0, 1.02 * target - self._best) / max(length, 1e-9)
        moved: Ints = np.rint(np.maximum(0.0, self._prices + step * over)).astype(np.int64)
        return moved * self._table.hours


def lower_bound(
    workload: Workload, points: Points, *, target: int, seconds: float = 0.1, rounds: int | None = None
) -> int:
    """Give a proved lower bound on the total of any plan.

    Parameters
    ----------
    workload : Workload
        Any workload.
    points : Points
        What each shortcoming costs; any figures.
    target : int
        The total of some plan: the bound strives for it and stops there.
    seconds : float
        Time to take, from a warm process; at least one round is made.
    rounds : int, optional
        Rounds to make instead, for the same bound each time.

    Returns
    -------
    int
        Points; never above the total of the best plan.
    """
    until = None if rounds is not None else time.perf_counter() + seconds
    return Ascent(workload, points).climb(target, until=until, rounds=rounds)
