"""Room for the compiled bound to work in: no kernel makes an array of its own."""

from collections.abc import Callable
from typing import Any, NamedTuple, TypeVar

import numpy as np

from solver.bound.table import MOST_RACQUETS, Ints, Table
from solver.search.kernels.memory import UNCOUNTED, compiled

CHUNK = 32
"""Ends that are looked at together when racquets take turns."""


F = TypeVar("F", bound=Callable[..., Any])


def uncounted(function: F) -> F:
    """Compile a kernel of the bound: its arrays live as long as their table and room."""
    return compiled(function, UNCOUNTED)


class Room(NamedTuple):
    """Arrays written by the kernels; a set of a player's racquets is a bit mask.

    J jobs, S stringers, M priced machines, L lanes, T minutes, N sets.
    """

    prefix: Ints  # (L, T + 1) price of all minutes of a lane before a minute
    alone: Ints  # (T + 1,) what the job at hand costs by its end, prices apart
    best: Ints  # (J, S) least points of a job at a stringer, at the prices
    place: Ints  # (J, S) the row of `places` that gives it
    start: Ints  # (J, S) the start that gives it
    use: Ints  # (S + M, T) how many racquets take each minute
    rows: Ints  # (MOST_RACQUETS, 2) rows of `places` of the player's racquets at the stringer at hand
    ends: Ints  # (MOST_RACQUETS, CHUNK) points by end, with the prices
    packed: Ints  # (T + 2, N) least points of each set by the end of a minute
    sets: Ints  # (S, N) least points of each set at a stringer
    has: Ints  # (S,) 1 where that row is filled for the player at hand
    joined: Ints  # (S + 4, N) least points of each set at the stringers so far
    named: Ints  # (S,) those stringers
    some: Ints  # (MOST_RACQUETS,) least points of each racquet with nobody new
    team: Ints  # (3,) the best new stringers, -1 for none
    tried: Ints  # (2,) whose tables lie joined for the team on trial


def new_room(table: Table) -> Room:
    """Give room for a table."""
    jobs, stringers = len(table.jobs), table.new_price.shape[1]
    rows, width = table.hours.shape
    sets = 1 << MOST_RACQUETS

    def zeros(*shape: int) -> Ints:
        return np.zeros(shape, np.int64)

    return Room(
        prefix=zeros(len(table.lanes), width + 1),
        alone=zeros(width + 1),
        best=zeros(jobs, stringers),
        place=zeros(jobs, stringers),
        start=zeros(jobs, stringers),
        use=zeros(rows, width),
        rows=zeros(MOST_RACQUETS, 2),
        ends=zeros(MOST_RACQUETS, CHUNK),
        packed=zeros(width + 2, sets),
        sets=zeros(stringers, sets),
        has=zeros(stringers),
        joined=zeros(stringers + 4, sets),
        named=zeros(stringers),
        some=zeros(MOST_RACQUETS),
        team=zeros(3),
        tried=zeros(2),
    )
