"""How hot the search runs, and for how long."""

from dataclasses import dataclass

import numpy as np

from solver.search.kernel import ANNEAL, SAMPLE, run
from solver.search.state import State

_STEPS_A_ROUND = 12_000
"""Moves a racquet after which another round from the best plan gains more than a slower one."""
_MOST_ROUNDS = 16
_REHEATS = (0.5, 2.0, 1.0, 4.0)
"""How hot the later rounds begin: some stay near the best plan, some leave it behind."""
DESCENT = 60
"""Moves a racquet that take a dispatched plan to about where annealing begins."""

MOVES = {
    "shift": 20,
    "swap": 8,
    "relocate": 25,
    "exchange": 25,
    "machine": 1,
    "leave": 1,
    "stretches": 6,
    "gather": 10,
    "trade": 10,
    "redo": 1,
}
"""The odds of the moves, in the order of their numbers."""


@dataclass(frozen=True)
class Round:
    """One cooling: temperatures in points, `share` of the whole time."""

    hot: float
    cold: float
    share: float


def set_mix(state: State) -> None:
    """Set the odds of the moves."""
    state.views["mix"][:] = np.cumsum(list(MOVES.values()))


def descend(state: State) -> None:
    """Improve the first plan by moves that cost nothing."""
    run(ANNEAL, state.cells, state.of, DESCENT * len(state.names.jobs), 1.0, 1.0)


def starting_temperature(state: State) -> float:
    """Give a temperature at which a plan of the present kind is loosened but not lost.

    It is a seventh of the rise that one random move in four stays below.
    """
    run(SAMPLE, state.cells, state.of, 0, 1.0, 1.0)
    samples = state.views["samples"]
    rises = samples[samples > 0]
    small_rise = float(np.quantile(rises, 0.25)) if len(rises) else 1.0
    return max(small_rise / 7, 2.0)


def rounds(hot: float, racquets: int, steps: float, *, from_plan: bool) -> list[Round]:
    """Give the coolings for a number of moves; from a good plan none starts hot enough to spoil it."""
    cold = max(hot / 150, 1.0)
    number = int(min(max(steps / (_STEPS_A_ROUND * racquets), 1), _MOST_ROUNDS))
    first = hot / 10 if from_plan else hot
    later = [hot * _REHEATS[i % len(_REHEATS)] for i in range(number - 1)]
    return [Round(warm, cold, 1 / number) for warm in (first, *later)]
