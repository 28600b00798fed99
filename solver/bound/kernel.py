"""The compiled heart of the bound: the cheapest service of every player when minutes have prices.

That a stringer has one racquet at a time is given up, and each minute of a stringer gets a price
instead.  Whatever the prices, the cheapest service of all players at these prices, less the prices
of all minutes, is no more than any plan costs (Lagrangian relaxation: Fisher 1981, Management
Science 27:1).  All sums are of whole numbers.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from numba import njit

from solver.bound.room import Room, uncounted
from solver.bound.table import FAR, FIRST, FIXED, FRESH, LANE, LAST, LEFT_OUT, LENGTH, READY, STRINGER, Ints, Table
from solver.bound.teams import serve
from solver.bound.turns import alone_at, floor_from, mark, mark_in_turn, stale_at
from solver.search.kernels.memory import HERE, UNCOUNTED, digest_of

BLOCK = 64
"""Starts that are looked at together, a compromise between vector arithmetic and stopping early."""


def _make_kernel(digest: int) -> Callable[..., int]:
    """Compile the one entry; its digest makes another entry in numba's cache after any change here."""

    @njit(cache=True, nogil=True, **UNCOUNTED)  # type: ignore[untyped-decorator]
    def kernel(table: Table, room: Room, prices: Ints, in_turn: int) -> int:
        return evaluate(table, room, prices, in_turn) + 0 * digest

    entry: Any = kernel
    return entry  # type: ignore[no-any-return]


@uncounted
def evaluate(table: Table, room: Room, prices: Ints, in_turn: int) -> int:
    """Give the bound at these prices, and in `room.use` the minutes that the players take at them.

    Where `in_turn` is 1 a player's racquets at one stringer lie one after another, which is dearer
    and takes longer to work out.
    """
    total = _sum_up(table, room, prices)
    for job in range(table.jobs.shape[0]):
        _price_job(table, room, job)
    for player in range(table.first_free.shape[0]):
        first, last = table.player_from[player], table.player_from[player + 1]
        turns = in_turn if last - first > 1 else 0
        total += serve(table, room, player, turns)
        if room.team[0] == -2:
            _mark_cheapest(table, room, first, last)
        else:
            _mark_player(table, room, first, last - first, turns)
    return total


@uncounted
def _sum_up(table: Table, room: Room, prices: Ints) -> int:
    """Sum the prices up by lane; give the negative sum of them all."""
    rows, width = prices.shape
    total = 0
    for i in range(rows):
        for t in range(width):
            total -= prices[i, t] * table.hours[i, t]
            room.use[i, t] = 0
    for i in range(table.lanes.shape[0]):
        stringer, machine = table.lanes[i, 0], table.lanes[i, 1]
        for t in range(width):
            its = prices[machine, t] if machine >= 0 else 0
            room.prefix[i, t + 1] = room.prefix[i, t] + prices[stringer, t] + its
    return total


@uncounted
def _price_job(table: Table, room: Room, job: int) -> None:
    """Find the cheapest start of a job at each stringer, at the prices of minutes."""
    for s in range(room.best.shape[1]):
        room.best[job, s] = FAR
    filled = ready = table.jobs[job, READY]
    fresh = table.jobs[job, FRESH]
    for k in range(table.place_from[job], table.place_from[job + 1]):
        length = table.places[k, LENGTH]
        for w in range(table.places[k, FIRST], table.places[k, LAST]):
            at, stop = max(table.spans[w, 0], ready), table.spans[w, 1] - length + 1
            while at < stop:
                some = min(BLOCK, stop - at)
                if at < fresh:
                    some = min(some, fresh - at)
                for end in range(filled, at + length + some):
                    room.alone[end] = alone_at(table, job, end)
                filled = max(filled, at + length + some)
                if not _price_block(table, room, job, k, at, some):
                    break
                at += some


@uncounted
def _price_block(table: Table, room: Room, job: int, k: int, at: int, some: int) -> bool:
    """Look at some starts of a job at a place; false when no later one can be cheaper there."""
    stringer, lane, length = table.places[k, STRINGER], table.places[k, LANE], table.places[k, LENGTH]
    fixed, best = table.places[k, FIXED], room.best[job, table.places[k, STRINGER]]
    if floor_from(table, job, at + length) + fixed >= best:
        return False
    fixed += stale_at(table, job, at)
    ends = room.alone[at + length : at + length + some]
    paid = room.prefix[lane, at : at + some]
    owed = room.prefix[lane, at + length : at + length + some]
    least = FAR
    for i in range(some):
        least = min(least, ends[i] + owed[i] - paid[i])
    if least + fixed < best:
        room.best[job, stringer] = least + fixed
        room.place[job, stringer] = k
        for i in range(some):
            if ends[i] + owed[i] - paid[i] == least:
                room.start[job, stringer] = at + i
                break
    return True


@uncounted
def _mark_cheapest(table: Table, room: Room, first: int, last: int) -> None:
    for job in range(first, last):
        least, stringer = table.jobs[job, LEFT_OUT], -1
        for s in range(room.best.shape[1]):
            if room.best[job, s] < least:
                least, stringer = room.best[job, s], s
        if stringer >= 0:
            mark(table, room, room.place[job, stringer], room.start[job, stringer])


@uncounted
def _mark_player(table: Table, room: Room, first: int, count: int, turns: int) -> None:
    """Mark the minutes of the service that `serve` found, stringer by stringer from the last joined."""
    chosen, row = (1 << count) - 1, room.team.shape[0] - 1
    row = room.tried[0]
    while row > 0:
        row -= 1
        stringer, part = room.named[row], chosen
        while room.joined[row, chosen ^ part] + room.sets[stringer, part] != room.joined[row + 1, chosen]:
            part = (part - 1) & chosen
        chosen ^= part
        if turns == 1:
            mark_in_turn(table, room, first, count, stringer, part)
            continue
        for i in range(count):
            if part >> i & 1:
                mark(table, room, room.place[first + i, stringer], room.start[first + i, stringer])


run = _make_kernel(digest_of(Path(__file__).parent, HERE))
