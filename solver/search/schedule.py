"""How hot the search runs, and for how long."""

import time
from dataclasses import dataclass

import numpy as np

from solver.search import layout
from solver.search.kernel import ANNEAL, DISPATCH, SAMPLE, run
from solver.search.state import State

ALONE, TOGETHER = (12_000, 50_000), 60_000
"""Moves a racquet after which another round gains more than a slower one.

For workers who search everything in turns, since some problems need the one and some the other;
and for workers at shares, in moves of each.
"""
_MOST_ROUNDS = 24
_LOOSENED = 0.1
"""Part of a round's moves from which on an earlier plan may be loosened wholly."""
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
    """One cooling: temperatures in points, `share` of the whole time, from a fresh plan or the best."""

    hot: float
    cold: float
    share: float
    is_fresh: bool = False


def set_mix(state: State) -> None:
    """Set the odds of the moves."""
    state.views["mix"][:] = np.cumsum(list(MOVES.values()))


def descend(state: State) -> None:
    """Improve the first plan by moves that cost nothing."""
    run(ANNEAL, state.cells, state.of, DESCENT * len(state.names.jobs), 1.0, 1.0)


def speed_of_descent(state: State) -> float:
    """Descend, and give the moves a second that it made."""
    began = time.perf_counter()
    descend(state)
    return DESCENT * len(state.names.jobs) / max(time.perf_counter() - began, 1e-6)


def begin_anew(state: State) -> None:
    """Dispatch all jobs by due time, shaken at random by about an hour, and descend."""
    state.put(())
    due = state.views["jobs"][:, layout.DUE]
    shaken = due + np.random.default_rng(state.views["random"].view(np.uint64)).integers(0, 60, len(due))
    state.views["sequence"][:] = np.argsort(shaken, kind="stable")
    run(DISPATCH, state.cells, state.of, 0, 1.0, 1.0)
    descend(state)


def temperatures(state: State) -> tuple[float, float]:
    """Give the temperatures at which a plan of the present kind is loosened but not lost, and frozen.

    The first is a seventh of the rise that one random move in four stays below, the second a fifth
    of that of one in a hundred, and at least a hundred-and-fiftieth of the first.
    """
    run(SAMPLE, state.cells, state.of, 0, 1.0, 1.0)
    samples = state.views["samples"]
    rises = samples[samples > 0]
    least, small = np.quantile(rises, (0.01, 0.25)).tolist() if len(rises) else (1.0, 1.0)
    hot = max(small / 7, 2.0)
    return hot, min(max(hot / 150, least / 5, 1.0), hot / 2)


def rounds(heat: tuple[float, float], steps: float, steps_a_round: float, *, from_plan: bool) -> list[Round]:
    """Give the coolings for a number of moves.

    From a plan the first does not start hot enough to spoil it, where there is no time to mend it again.
    """
    hot, cold = heat
    spares = from_plan and steps < _LOOSENED * steps_a_round
    number = int(min(max(steps / steps_a_round, 1), _MOST_ROUNDS))
    first = Round(max(hot / 10, cold) if spares else hot, cold, 1 / number)
    near = Round(max(hot / 2, cold), cold, 1 / number)
    far = Round(hot, cold, 1 / number, is_fresh=True)
    return [first, *(near if i % 2 == 0 else far for i in range(number - 1))]
