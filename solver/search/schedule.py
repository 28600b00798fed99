"""How hot the search runs, and for how long; one cooling slice by slice, against the clock or a count of moves."""

import time
from dataclasses import dataclass
from typing import Literal

import numpy as np

from solver.search.kernels.kernel import run_anneal, run_build
from solver.search.kernels.layout import FORBIDDEN, SAMPLES
from solver.search.state import State

clock = time.perf_counter


@dataclass(frozen=True)
class Pace:
    """Moves a racquet after which another round gains more than a slower one, and from which on a plan is loosened."""

    a_round: int
    to_loosen: int


ALONE, TOGETHER = (Pace(4_000, 1_200), Pace(4_000, 5_000)), Pace(60_000, 6_000)
"""For workers who search everything in turns, one of whom spares a plan longer; and for those at shares."""
_MOST_ROUNDS = 24
_CYCLED, _FROZEN = 0.5, 0.1
"""Parts of a search that go to its cycles and to the cooling at the end."""
_WARM, _COOL = 0.35, 0.05
"""Where a cycle begins and ends, in parts of the first temperature: bags change hands above a fifth of it."""
_LEAST_CYCLE, _FEWEST_CYCLES, _MOST_CYCLES = 2_000, 2, 8
"""Moves a racquet that a cycle needs, and how many cycles there are where there are any."""
_SLICES, _MOVES = (100, 1000), 2000
"""Temperatures of a counted cooling: at least, at most, and the moves that each is worth."""

_SLICE_STEPS = (200, 1_000_000)
"""Moves of a timed slice: where a worker's share holds no racquet they take no time at all."""
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
OF_BAGS = ("gather", "trade")

_LOOSE, _LOOSE_ALONE = 7, 28
"""What the rises of moves are divided by for the first temperature; alone: no player has two racquets."""


@dataclass(frozen=True)
class Round:
    """One cooling: temperatures in points, `share` of the time beside the other rounds.

    It begins with the best plan of all workers, with the worker's own best, or with a fresh one.
    """

    hot: float
    cold: float
    share: float = 1.0
    begins: Literal["best", "own", "fresh"] = "best"


def set_mix(state: State) -> None:
    """Set the odds of the moves; those of whole bags are left out where every player has one racquet."""
    odds = [0 if name in OF_BAGS and not has_bags(state) else share for name, share in MOVES.items()]
    state.tables["mix"][:] = np.cumsum(odds)


def has_bags(state: State) -> bool:
    """Whether any player has several racquets."""
    return len(np.unique(state.tables["jobs"]["player"])) < len(state.names.jobs)


def descend(state: State) -> None:
    """Improve the first plan by moves that cost nothing."""
    run_anneal(state.record, DESCENT * len(state.names.jobs), 1.0, 1.0, False)


def speed_of_descent(state: State) -> float:
    """Descend, and give the moves a second that it made."""
    began = clock()
    descend(state)
    return DESCENT * len(state.names.jobs) / max(clock() - began, 1e-6)


def begin_anew(state: State) -> None:
    """Dispatch all jobs by due time, shaken at random by about an hour, and descend."""
    state.give(())
    due = state.tables["jobs"]["due"]
    chance = np.random.default_rng(state["random"] & (1 << 63) - 1)
    state.put_in_sequence(due + chance.integers(0, 60, len(due)))
    run_build(state.record, False)
    descend(state)


def temperatures(state: State) -> tuple[float, float]:
    """Give the temperatures at which a plan of the present kind is loosened but not lost, and frozen.

    The first is a seventh of the rise that one random move in four stays below (without bags a
    twenty-eighth, since no dear split stands between two good plans), the second a fifth
    of that of one in a hundred, and at least a hundred-and-fiftieth of the first.
    """
    run_anneal(state.record, SAMPLES, 1.0, 1.0, True)
    samples = state.tables["samples"]
    rises = samples[(samples > 0) & (samples < FORBIDDEN)]
    least, small = np.quantile(rises, (0.01, 0.25)).tolist() if len(rises) else (1.0, 1.0)
    hot = max(small / (_LOOSE if has_bags(state) else _LOOSE_ALONE), 2.0)
    return hot, min(max(hot / 150, least / 5, 1.0), hot / 2)


def rounds(heat: tuple[float, float], moves: float, pace: Pace, *, from_plan: bool, bags: bool) -> list[Round]:
    """Give the coolings for a number of moves a racquet.

    From a plan the first does not start hot enough to spoil it, where there is no time to mend it again.
    Where players have several racquets, the best is heated again only so far that bags change hands.
    """
    hot, cold = heat
    spares = from_plan and moves < pace.to_loosen
    first = Round(max(hot / 10, cold) if spares else hot, cold)
    if bags:
        number = int(min(moves * _CYCLED / _LEAST_CYCLE, _MOST_CYCLES))
        return [first] if spares or number < _FEWEST_CYCLES else _cycles(hot, cold, number)
    number = int(min(max(moves / pace.a_round, 1), _MOST_ROUNDS))
    near, far = Round(max(hot / 2, cold), cold), Round(hot, cold, begins="fresh")
    return [first, *(near if i % 2 == 0 else far for i in range(number - 1))]


def _cycles(hot: float, cold: float, number: int) -> list[Round]:
    """Cool, heat the worker's best plan again and cool it so many times, and freeze it in the end.

    Thermal cycling: Möbius and others 1997, Physical Review Letters 79:4297.
    """
    warm, cool = max(hot * _WARM, cold), max(hot * _COOL, cold)
    cycle = Round(warm, cool, _CYCLED / number, "own")
    return [Round(hot, cool, 1 - _CYCLED - _FROZEN, "own"), *[cycle] * number, Round(cool, cold, _FROZEN, "own")]


class Cooling:
    """How far one worker is with a round.

    Parameters
    ----------
    one : Round
        Its temperatures.
    slice_seconds : float
        Moves between two looks at the clock, in seconds.
    until : float or None
        When a timed round ends, by `clock`.
    steps : int or None
        How many moves a counted round makes; the clock is then left alone.
    """

    def __init__(self, one: Round, *, slice_seconds: float, until: float, steps: int | None = None) -> None:
        self.one, self.until, self.steps, self.slice_seconds = one, until, steps, slice_seconds
        self.began = clock()
        self.made = 0
        self.slice_steps = 2000

    @property
    def done(self) -> float:
        """Give the part of the round that is over, 1 at its end."""
        if self.steps is not None:
            return self.made / max(self.steps, 1)
        left = self.until - clock()
        if left < self.slice_seconds / 4:
            return 1.0
        return 1.0 - left / (self.until - self.began)

    def run_slice(self, state: State) -> None:
        """Make some moves at the temperature of the moment."""
        temperature = self.one.hot * (self.one.cold / self.one.hot) ** min(self.done, 1.0)
        if self.steps is not None:
            least, most = _SLICES
            moves = max(1, self.steps // min(max(self.steps // _MOVES, least), most))
            run_anneal(state.record, min(moves, self.steps - self.made), temperature, temperature, False)
            self.made += moves
            return
        began = clock()
        run_anneal(state.record, self.slice_steps, temperature, temperature, False)
        stretch = self.slice_seconds / max(clock() - began, 1e-6)
        least, most = _SLICE_STEPS
        self.slice_steps = min(most, max(least, int(self.slice_steps * min(2.0, max(0.5, stretch)))))
