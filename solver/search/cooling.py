"""One cooling from hot to cold, slice by slice, against the clock or a count of moves."""

import time

from solver.search.kernel import ANNEAL, run
from solver.search.schedule import Round
from solver.search.state import State

clock = time.perf_counter
_SLICES, _MOVES = (100, 1000), 2000
"""Temperatures of a counted cooling: at least, at most, and the moves that each is worth."""

_SLICE_STEPS = (200, 1_000_000)
"""Moves of a timed slice: where a worker's share holds no racquet they take no time at all."""


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
            run(ANNEAL, state.cells, state.of, min(moves, self.steps - self.made), temperature, temperature)
            self.made += moves
            return
        began = clock()
        run(ANNEAL, state.cells, state.of, self.slice_steps, temperature, temperature)
        stretch = self.slice_seconds / max(clock() - began, 1e-6)
        least, most = _SLICE_STEPS
        self.slice_steps = min(most, max(least, int(self.slice_steps * min(2.0, max(0.5, stretch)))))
