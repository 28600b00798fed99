"""The compiled heart of the bound: the cheapest way to serve each player when minutes have prices.

Taken apart by Lagrangian relaxation: that a stringer has one racquet at a time is given up, and each
minute of each stringer gets a price instead.  Whatever the prices, the cheapest service of all players
at these prices, less the prices of all minutes, is a lower bound (Fisher 1981, Management Science 27:1).
The prices are found by the volume algorithm (Barahona and Anbil 2000, Mathematical Programming 87:385).
All sums are of whole numbers.
"""

import numpy as np
from numba import njit

from solver.bound.table import (
    DUE,
    FAR,
    FIRST,
    FIXED,
    LANE,
    LAST,
    LATE,
    LEFT_OUT,
    LENGTH,
    ORIGIN,
    PROMISE,
    PROMISED,
    READY,
    STRINGER,
)
from solver.bound.turns import MOST_RACQUETS, mark_player, serve_in_turn

BLOCK = 64
"""Starts that are looked at together, a compromise between vector arithmetic and stopping early."""


@njit(cache=True, nogil=True)
def ascend(table, in_turn, work, prices, average, size, rounds, target):  # type: ignore[no-untyped-def]
    """Improve the prices of minutes for some rounds.

    Parameters
    ----------
    table : Table
        The workload.
    prices : int array (S + M, T)
        Prices of minutes, in scaled points; holds the best found on return.
    average : float array (S + M, T)
        Running average of the use of each minute; negative cells mean that there is none yet.
    size : float array (3,)
        Step size, best value so far (scaled), rounds since the last gain.
    rounds : int
        Number of rounds.
    target : int
        Points of a plan, scaled: what the bound strives for.
    """
    rows, width = prices.shape
    count, stringers = table.jobs.shape[0], table.new_price.shape[1]
    best = np.empty((count, stringers), np.int64)
    place = np.empty((count, stringers), np.int64)
    start = np.empty((count, stringers), np.int64)
    prefix = np.zeros((table.lanes.shape[0], width + 1), np.int64)
    use = np.empty((rows, width), np.int64)
    trial = prices.copy()
    for _ in range(rounds):
        value = evaluate(table, trial, in_turn, work, prefix, best, place, start, use)
        if value > size[1]:
            prices[:] = trial
            if size[2] >= 0 and value - size[1] > 1e-4 * abs(value):
                size[0] = min(2.0, size[0] * 1.1)
            size[1] = value
            size[2] = 0
        else:
            size[2] += 1
            if size[2] >= 5:
                size[0] *= 0.7
                size[2] = 0
        _mix(average, use)
        _step(table, prices, average, trial, size, target)
    return 0


@njit
def _mix(average, use):  # type: ignore[no-untyped-def]
    fresh = average[0, 0] < 0
    for i in range(use.shape[0]):
        for t in range(use.shape[1]):
            average[i, t] = use[i, t] if fresh else 0.9 * average[i, t] + 0.1 * use[i, t]


@njit
def _step(table, prices, average, trial, size, target):  # type: ignore[no-untyped-def]
    norm = 0.0
    for i in range(prices.shape[0]):
        for t in range(prices.shape[1]):
            over = average[i, t] - table.hours[i, t]
            if over > 0 or prices[i, t] > 0:
                norm += over * over
    step = size[0] * max(1.0, 1.02 * target - size[1]) / max(norm, 1e-9)
    for i in range(prices.shape[0]):
        for t in range(prices.shape[1]):
            moved = prices[i, t] + step * (average[i, t] - table.hours[i, t])
            trial[i, t] = max(0, int(moved + 0.5)) if table.hours[i, t] else 0


@njit
def evaluate(table, prices, in_turn, work, prefix, best, place, start, use):  # type: ignore[no-untyped-def]
    """Give the bound at these prices, and mark in `use` which minutes the players take at them."""
    width = prices.shape[1]
    total = -prices.sum()
    for i in range(table.lanes.shape[0]):
        stringer, machine = table.lanes[i, 0], table.lanes[i, 1]
        for t in range(width):
            its = prices[machine, t] if machine >= 0 else 0
            prefix[i, t + 1] = prefix[i, t] + prices[stringer, t] + its
    use[:] = 0
    alone = np.empty(width + 1, np.int64)
    for job in range(table.jobs.shape[0]):
        _price_job(table, prefix, alone, job, best[job], place[job], start[job])
    for player in range(table.first_free.shape[0]):
        first, last = table.player_from[player], table.player_from[player + 1]
        if in_turn and 1 < last - first <= MOST_RACQUETS:
            total += serve_in_turn(table, prefix, player, best[first:last], work)
            if work.team[0] != -2:
                mark_player(table, prefix, player, last - first, work, use)
            else:
                for job in range(first, last):
                    s = best[job].argmin()
                    if best[job, s] < table.jobs[job, LEFT_OUT]:
                        _mark(table, place[job, s], start[job, s], use)
            continue
        chosen = np.full(last - first, -1, np.int64)
        left_out = table.jobs[first:last, LEFT_OUT]
        total += serve(best[first:last], left_out, table.new_price[player], table.first_free[player], chosen)
        for i in range(last - first):
            if chosen[i] >= 0:
                _mark(table, place[first + i, chosen[i]], start[first + i, chosen[i]], use)
    return total


@njit
def _mark(table, place, start, use):  # type: ignore[no-untyped-def]
    lane = table.places[place, LANE]
    stringer, machine = table.lanes[lane, 0], table.lanes[lane, 1]
    for t in range(start, start + table.places[place, LENGTH]):
        use[stringer, t] += 1
        if machine >= 0:
            use[machine, t] += 1


@njit
def _price_job(table, prefix, alone, job, best, place, start):  # type: ignore[no-untyped-def]
    """Find the cheapest start of a job at each stringer, at the prices of minutes."""
    best[:] = FAR
    ready, filled = table.jobs[job, READY], table.jobs[job, READY]
    for k in range(table.place_from[job], table.place_from[job + 1]):
        stringer, lane = table.places[k, STRINGER], table.places[k, LANE]
        length, fixed = table.places[k, LENGTH], table.places[k, FIXED]
        for w in range(table.places[k, FIRST], table.places[k, LAST]):
            at, stop = max(table.spans[w, 0], ready), table.spans[w, 1] - length + 1
            while at < stop:
                some = min(BLOCK, stop - at)
                if at + length + some > filled:
                    _extend(table, job, alone, filled, at + length + some)
                    filled = at + length + some
                if alone[at + length] + fixed >= best[stringer]:
                    break
                ends = alone[at + length : at + length + some]
                paid = prefix[lane, at : at + some]
                owed = prefix[lane, at + length : at + length + some]
                least = FAR
                for i in range(some):
                    least = min(least, ends[i] + owed[i] - paid[i])
                if least + fixed < best[stringer]:
                    best[stringer] = least + fixed
                    place[stringer] = k
                    for i in range(some):
                        if ends[i] + owed[i] - paid[i] == least:
                            start[stringer] = at + i
                            break
                at += some


@njit
def _extend(table, job, alone, first, last):  # type: ignore[no-untyped-def]
    """Write what a job costs by its end alone, for the ends in ``[first, last)``."""
    row, cap, waiting = table.jobs[job], table.points[0], table.points[1]
    for end in range(first, last):
        cost = waiting * (end - row[ORIGIN])
        cost += row[LATE] * min(cap, max(0, end - row[DUE]))
        alone[end] = cost + row[PROMISE] * min(cap, max(0, end - row[PROMISED]))


@njit
def serve(cost, left_out, price, first_free, chosen):  # type: ignore[no-untyped-def]
    """Choose a player's stringers: the cheapest by job, new ones at their price.

    Sets of up to three new stringers are tried; larger ones are bounded from below by the cheapest
    stringer for each job and the price of as many as the set has at least.
    """
    count, stringers = cost.shape
    base, least = left_out.copy(), left_out.copy()
    cheapest = FAR
    for s in range(stringers):
        is_free = price[s] == 0
        cheapest = min(cheapest, price[s]) if not is_free else cheapest
        for i in range(count):
            least[i] = min(least[i], cost[i, s])
            if is_free:
                base[i] = min(base[i], cost[i, s])
    best, floor, size = base.sum(), least.sum(), 0
    team = np.full(3, -1, np.int64)
    trial = np.full(3, -1, np.int64)
    while size < min(3, count) and floor + cheapest * (size + 1 - first_free) < best:
        size += 1
        best = _best_team(cost, base, price, first_free, size, trial, team, best)
    if count > 3 and floor + cheapest * (4 - first_free) < best:
        best = floor + cheapest * (4 - first_free)
        _assign(cost, left_out, price, team, True, chosen)
    else:
        _assign(cost, left_out, price, team, False, chosen)
    return best


@njit
def _best_team(cost, base, price, first_free, size, trial, team, best):  # type: ignore[no-untyped-def]
    """Try every team of `size` new stringers; keep the best in `team`."""
    stringers = price.shape[0]
    for a in range(stringers):
        for b in range(a + 1, stringers) if size > 1 else range(a, a + 1):
            for c in range(b + 1, stringers) if size > 2 else range(b, b + 1):
                if price[a] == 0 or price[b] == 0 or price[c] == 0:
                    continue
                total = price[a]
                dearest = max(price[a], price[b], price[c])
                if size > 1:
                    total += price[b]
                if size > 2:
                    total += price[c]
                total -= first_free * dearest
                for i in range(base.shape[0]):
                    if total >= best:
                        break
                    total += min(base[i], cost[i, a], cost[i, b], cost[i, c])
                if total < best:
                    best = total
                    team[0], team[1], team[2] = a, b, c
    return best


@njit
def _assign(cost, left_out, price, team, anyone, chosen):  # type: ignore[no-untyped-def]
    """Give each job its cheapest stringer among the free ones and the team."""
    for i in range(cost.shape[0]):
        least = left_out[i]
        for s in range(cost.shape[1]):
            if (anyone or price[s] == 0 or s in (team[0], team[1], team[2])) and cost[i, s] < least:
                least = cost[i, s]
                chosen[i] = s
