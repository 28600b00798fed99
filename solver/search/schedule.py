"""How hot the search runs, and for how long."""

from dataclasses import dataclass

import numpy as np

from solver.search import layout
from solver.search.kernel import SAMPLE, run
from solver.search.state import State

_STEPS_A_ROUND = 12_000
"""Moves a racquet after which another round from the best plan gains more than a slower one."""
_STEPS_A_SECOND = 800_000
_MOST_ROUNDS = 12


@dataclass(frozen=True)
class Round:
    """One cooling: temperatures in points, `share` of the whole time."""

    hot: float
    cold: float
    share: float


def typical_rise(state: State) -> float:
    """Give the points that a random move typically adds to the present plan."""
    run(SAMPLE, state.cells, state.of, 0, 1.0, 1.0)
    samples = state.views["samples"]
    rises = samples[samples > 0]
    return float(np.median(rises)) if len(rises) else 1.0


def rounds(rise: float, racquets: int, steps: float, *, from_plan: bool) -> list[Round]:
    """Give the coolings for a number of moves; from a good plan none starts hot enough to spoil it."""
    hot, cold = max(rise / 4, 4.0), max(rise / 150, 0.5)
    number = int(min(max(steps / (_STEPS_A_ROUND * racquets), 1), _MOST_ROUNDS))
    first = Round(hot / 12 if from_plan else hot, cold, 1 / number)
    return [first] + [Round(hot / 3, cold, 1 / number)] * (number - 1)


def expected_steps(seconds: float) -> float:
    """Give about how many moves a worker tries in a time."""
    return seconds * _STEPS_A_SECOND


def set_mix(state: State) -> None:
    """Set the odds of the moves: shift, swap, relocate, exchange, stretches, gather, trade, machine, redo, leave."""
    odds = [20, 8, 25, 20, 12, 6, 6, 1, 1, 1]
    state.views["mix"][:] = np.cumsum(odds[: layout.MOVE_KINDS])
