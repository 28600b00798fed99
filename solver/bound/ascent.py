"""The bound of a workload: what is started, and the priced service of the rest."""

import time

import numpy as np

from solver.bound.kernel import ascend
from solver.bound.turns import new_work
from solver.bound.table import SCALE, new_table
from solver.calendar import started_assignments
from solver.costs import cost_of_assignments
from solver.part import part_of
from solver.points import Points
from solver.workload import Workload

ROUNDS_AT_ONCE = 10
SMALLEST_STEP = 1e-4


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
        shape = self._table.hours.shape
        self._work = new_work(shape[0], shape[1])
        self.in_turn = False
        self._prices = np.zeros(shape, np.int64)
        self._average = np.full(shape, -1.0)
        self._size = np.array([1.0, -1e18, -1.0])

    @property
    def bound(self) -> int:
        """Give the best bound so far, in points."""
        return self._fixed + max(0, -int(-self._size[1] // SCALE))

    @property
    def is_done(self) -> bool:
        """Whether more rounds would hardly raise the bound."""
        return bool(self._size[0] < SMALLEST_STEP)

    def climb(self, target: int, *, until: float | None = None, rounds: int | None = None) -> int:
        """Raise the bound towards `target`, the total of a plan, until a moment or for some rounds.

        `until` is on the clock of `time.perf_counter`.  Gives the bound, which is never above the
        total of the best plan.
        """
        while not self.is_done and self.bound < target and rounds != 0:
            some = ROUNDS_AT_ONCE if rounds is None else min(rounds, ROUNDS_AT_ONCE)
            ascend(self._table, self.in_turn, self._work, self._prices, self._average, self._size, some, (target - self._fixed) * SCALE)
            rounds = None if rounds is None else rounds - some
            if until is not None and time.perf_counter() >= until:
                break
        return self.bound


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
