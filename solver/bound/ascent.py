"""The bound of a workload: what is started, and the priced service of the rest.

The prices of minutes are found by the volume algorithm (Barahona and Anbil 2000, Mathematical
Programming 87:385): minutes that are taken too often on average become dearer.
"""

import time
from typing import Any

import numpy as np
from numpy.typing import NDArray

from solver.bound.alone import bound_alone
from solver.bound.kernel import run
from solver.bound.pool import pooled, shared_out
from solver.bound.room import new_room
from solver.bound.table import SCALE, Ints, Table, new_table
from solver.contract.calendar import horizon, started_assignments
from solver.contract.points import Points
from solver.contract.workload import Workload, priced
from solver.judge.costs import cost_of_assignments
from solver.model.excerpt import part_of

SMALLEST_STEP, LAST_LOOSE_STEP, FIRST_STEP_IN_TURN, STEP_AFTER_POOL = 1e-3, 1e-2, 0.2, 0.1
ROUNDS_IN_POOL = 150
MOST_MINUTES, MOST_CELLS = 40_000, 3_000_000
"""Four weeks of minutes, and as many of all benches; beyond, each job is bounded by itself."""
PATIENCE = 5
"""Rounds without gain after which the steps become smaller."""


class Climb:
    """The volume algorithm on one table.

    Attributes
    ----------
    best : int
        The greatest value found, in scaled points; a lower bound for the table's jobs.
    prices : int array (S + M, T)
        The prices that gave it.
    average : float array (S + M, T)
        How many racquets take each minute, on a running average: nearly a plan.
    """

    def __init__(self, table: Table, *, step: float = 1.0) -> None:
        self.table, self.step, self.in_turn, self.best = table, step, False, 0
        self.prices: Ints = np.zeros(table.hours.shape, np.int64)
        self.average: NDArray[np.float64] | None = None
        self._room, self._fails = new_room(table), 0
        self._trial = self.prices

    def begin_at(self, prices: Ints, average: NDArray[np.float64]) -> None:
        """Begin with prices from elsewhere."""
        self._trial, self.average = prices, average

    def one_round(self, target: int) -> None:
        """Work out the bound at the prices on trial and choose the next, striving for `target`."""
        value = run(self.table, self._room, self._trial, int(self.in_turn))
        gain = value - self.best
        if gain > 0:
            self.prices, self.best, self._fails = self._trial, value, 0
            if gain > 1e-4 * abs(value):
                self.step = min(2.0, 1.1 * self.step)
        else:
            self._fails += 1
            if self._fails >= PATIENCE:
                self.step, self._fails = 0.7 * self.step, 0
        self._trial = self._next_prices(target)

    def _next_prices(self, target: int) -> Ints:
        use: Any = self._room.use
        if self.average is None:
            self.average = use.astype(np.float64)
        else:
            self.average += 0.1 * (use - self.average)
        over = self.average - self.table.hours
        over[(over < 0) & (self.prices == 0)] = 0.0
        length = float((over * over).sum())
        step = self.step * max(1.0, 1.02 * target - self.best) / max(length, 1e-9)
        moved: Ints = np.rint(np.maximum(0.0, self.prices + step * over)).astype(np.int64)
        return np.where(self.table.hours > 0, moved, 0)


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
        workload = priced(workload, points)
        self._fixed = sum(cost_of_assignments(workload, started_assignments(workload), (), points).values())
        self._alone = self._fixed
        self._pool: Climb | None = None
        self._pooled = 0
        self._climb: Climb | None = None
        if not _has_room(workload):
            self._alone = bound_alone(workload, points)
            return
        rest = part_of(workload, {job.id for job in workload.jobs if job.started is None})
        self._pool = Climb(pooled(table := new_table(rest, points)))
        self._climb = Climb(table, step=STEP_AFTER_POOL)

    @property
    def bound(self) -> int:
        """Give the best bound so far, in points."""
        return self._alone if self._climb is None else self._fixed - (-self._climb.best // SCALE)

    @property
    def is_done(self) -> bool:
        """Whether more rounds would hardly raise the bound."""
        climb = self._climb
        return climb is None or (climb.in_turn and climb.step < SMALLEST_STEP)

    def climb(self, target: int, *, until: float | None = None, rounds: int | None = None) -> int:
        """Raise the bound towards `target`, the total of a plan, until a moment or for some rounds.

        `until` is on the clock of `time.perf_counter`.  Gives the bound, which is never above the
        total of the best plan.
        """
        scaled = (target - self._fixed) * SCALE
        if self._pool is not None and not self._pool_is_ready(scaled, until):
            return self.bound
        while self._climb is not None and not self.is_done and self.bound < target and rounds != 0:
            self._climb.one_round(scaled)
            if not self._climb.in_turn and self._climb.step < LAST_LOOSE_STEP:
                self._climb.in_turn, self._climb.step = True, FIRST_STEP_IN_TURN
            rounds = None if rounds is None else rounds - 1
            if until is not None and time.perf_counter() >= until:
                break
        return self.bound

    def _pool_is_ready(self, target: int, until: float | None) -> bool:
        """Find prices for all stringers in one pool first: quick, and a good beginning for each."""
        pool, climb = self._pool, self._climb
        while pool is not None and climb is not None and self._pooled < ROUNDS_IN_POOL:
            if self._pooled and until is not None and time.perf_counter() >= until:
                return False
            pool.one_round(target)
            self._pooled += 1
        if pool is not None and climb is not None:
            climb.begin_at(*shared_out(pool.prices, pool.average, pool.table, climb.table))
        self._pool = None
        return True


def _has_room(workload: Workload) -> bool:
    """Whether the minutes of all benches fit in the memory allowed."""
    width = horizon(workload) - workload.now
    benches = len(workload.stringers) + len(workload.machines)
    return width <= MOST_MINUTES and width * benches <= MOST_CELLS


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
