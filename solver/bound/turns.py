"""The compiled service of one player whose racquets are strung one after another at each stringer.

Tighter than `kernel.serve`, where two racquets of a player could lie at one stringer in one minute:
for each stringer a table by set of racquets is filled minute by minute (Held and Karp 1962, J. SIAM
10:196, over time instead of a tour), and the tables of several stringers are joined.
"""

from typing import NamedTuple

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
    Ints,
)

CHUNK = 32
MOST_RACQUETS = 8


class Work(NamedTuple):
    """Room for the tables of one player with up to `MOST_RACQUETS` racquets; sets are bit masks."""

    ends: Ints  # (MOST_RACQUETS, CHUNK)
    packed: Ints  # (T + 2, sets)
    alone: Ints  # (S, sets) least points of each set at one stringer
    has: Ints  # (S,) 1 where that row is filled for the player at hand
    joined: Ints  # (S + 4, sets) least points of each set at the stringers so far
    team: Ints  # (3,) the best new stringers, the last repeated in a smaller team


def new_work(stringers: int, width: int) -> Work:
    """Give room for a workload of so many stringers and minutes."""
    sets = 1 << MOST_RACQUETS
    return Work(
        ends=np.zeros((MOST_RACQUETS, CHUNK), np.int64),
        packed=np.zeros((width + 2, sets), np.int64),
        alone=np.zeros((stringers, sets), np.int64),
        has=np.zeros(stringers, np.int64),
        joined=np.zeros((stringers + 4, sets), np.int64),
        team=np.zeros(3, np.int64),
    )


@njit
def in_turn(table, prefix, first, count, stringer, work):  # type: ignore[no-untyped-def]
    """Find the cheapest way to string each set of a player's racquets in turn at a stringer.

    Row `t - t0` of `packed` holds it by the end of minute `t`; gives `t0` and the last `t` filled.
    """
    ends, packed, least = work.ends, work.packed, work.alone[stringer]
    rows = _rows_of(table, first, count, stringer)
    sets = 1 << count
    start, stop = FAR, 0
    for i in range(count):
        for k in range(rows[i, 0], rows[i, 1]):
            start = min(start, table.jobs[first + i, READY] + table.places[k, LENGTH])
            for w in range(table.places[k, FIRST], table.places[k, LAST]):
                stop = max(stop, table.spans[w, 1])
    least[:sets] = FAR
    least[0] = 0
    packed[0, :sets] = least[:sets]
    if start > stop:
        return 0, 0
    t0 = start - 1
    last = t0
    for chunk in range(start, stop + 1, CHUNK):
        until = min(chunk + CHUNK, stop + 1)
        for i in range(count):
            _ends(table, prefix, first + i, rows[i], chunk, until, ends[i])
        for t in range(chunk, until):
            packed[t - t0, :sets] = packed[t - t0 - 1, :sets]
            for i in range(count):
                cost = ends[i, t - chunk]
                if cost < FAR:
                    before = packed[max(t - table.places[rows[i, 0], LENGTH] - t0, 0)]
                    _join(packed[t - t0], before, cost, 1 << i, sets)
        last = until - 1
        if _is_final(table, first, count, rows, packed[last - t0], last):
            break
    least[:sets] = packed[last - t0, :sets]
    return t0, last


@njit
def _rows_of(table, first, count, stringer):  # type: ignore[no-untyped-def]
    rows = np.zeros((count, 2), np.int64)
    for i in range(count):
        for k in range(table.place_from[first + i], table.place_from[first + i + 1]):
            if table.places[k, STRINGER] == stringer:
                if rows[i, 1] == 0:
                    rows[i, 0] = k
                rows[i, 1] = k + 1
    return rows


@njit
def _join(after, before, cost, bit, sets):  # type: ignore[no-untyped-def]
    for chosen in range(sets):
        if chosen & bit == 0 and before[chosen] + cost < after[chosen | bit]:
            after[chosen | bit] = before[chosen] + cost


@njit
def _alone(table, job, end):  # type: ignore[no-untyped-def]
    row, cap = table.jobs[job], table.points[0]
    cost = table.points[1] * (end - row[ORIGIN])
    cost += row[LATE] * min(cap, max(0, end - row[DUE]))
    return cost + row[PROMISE] * min(cap, max(0, end - row[PROMISED]))


@njit
def _ends(table, prefix, job, rows, chunk, until, ends):  # type: ignore[no-untyped-def]
    """Write what a job costs at each end in ``[chunk, until)``, with the prices of its minutes."""
    ends[: until - chunk] = FAR
    for k in range(rows[0], rows[1]):
        lane, length, fixed = table.places[k, LANE], table.places[k, LENGTH], table.places[k, FIXED]
        for w in range(table.places[k, FIRST], table.places[k, LAST]):
            earliest = max(table.spans[w, 0], table.jobs[job, READY]) + length
            for end in range(max(chunk, earliest), min(until, table.spans[w, 1] + 1)):
                cost = _alone(table, job, end) + fixed + prefix[lane, end] - prefix[lane, end - length]
                ends[end - chunk] = min(ends[end - chunk], cost)


@njit
def _is_final(table, first, count, rows, now, last):  # type: ignore[no-untyped-def]
    """Whether nothing that ends after `last` can make any set cheaper: minutes cost nothing at least."""
    for i in range(count):
        later = FAR
        for k in range(rows[i, 0], rows[i, 1]):
            later = min(later, table.places[k, FIXED])
        if later < FAR:
            later += _alone(table, first + i, last + 1)
        bit = 1 << i
        for chosen in range(1 << count):
            if chosen & bit and now[chosen ^ bit] < FAR and now[chosen ^ bit] + later < now[chosen]:
                return False
    return True


@njit
def convolve(one, other, count, out):  # type: ignore[no-untyped-def]
    """Share each set out between two, as cheaply as can be."""
    for chosen in range(1 << count):
        least, part = one[chosen] + other[0], chosen
        while part:
            part = (part - 1) & chosen
            least = min(least, one[part] + other[chosen ^ part])
        out[chosen] = min(least, FAR)


@njit
def serve_in_turn(table, prefix, player, cost, work):  # type: ignore[no-untyped-def]
    """Give the least points of a player's racquets; the team of new stringers stays in `work`.

    `cost` holds the points of each racquet at each stringer without regard to turns: what is dear
    enough there is not looked at again.  A team of more than three is bounded from below.
    """
    first, count = table.player_from[player], cost.shape[0]
    price, first_free = table.new_price[player], table.first_free[player]
    work.has[:] = 0
    work.team[:] = -1
    _left_out(table, first, count, work.joined[0])
    rows = _join_free(table, prefix, player, count, work)
    some = np.empty(count, np.int64)
    floor = 0
    for i in range(count):
        some[i] = table.jobs[first + i, LEFT_OUT]
        floor += min(some[i], cost[i].min())
        for s in range(price.shape[0]):
            some[i] = min(some[i], cost[i, s]) if price[s] == 0 else some[i]
    cheapest = FAR
    for s in range(price.shape[0]):
        cheapest = min(cheapest, price[s]) if price[s] > 0 else cheapest
    best = work.joined[rows, (1 << count) - 1]
    for size in range(1, min(3, count) + 1):
        if floor + cheapest * (size - first_free) < best:
            best = _best_team_in_turn(table, prefix, player, cost, some, size, rows, work, best)
    if count > 3 and floor + cheapest * (4 - first_free) < best:
        work.team[:] = -2
        return floor + cheapest * (4 - first_free)
    return best


@njit
def _left_out(table, first, count, out):  # type: ignore[no-untyped-def]
    for chosen in range(1 << count):
        out[chosen] = 0
        for i in range(count):
            if chosen >> i & 1:
                out[chosen] += table.jobs[first + i, LEFT_OUT]


@njit
def _join_free(table, prefix, player, count, work):  # type: ignore[no-untyped-def]
    """Join the tables of the stringers who cost nothing; give the row of `joined` that has them all."""
    row = 0
    for s in range(table.new_price.shape[1]):
        if table.new_price[player, s] == 0:
            _need(table, prefix, player, count, s, work)
            convolve(work.joined[row], work.alone[s], count, work.joined[row + 1])
            row += 1
    return row


@njit
def _need(table, prefix, player, count, stringer, work):  # type: ignore[no-untyped-def]
    if work.has[stringer] == 0:
        in_turn(table, prefix, table.player_from[player], count, stringer, work)
        work.has[stringer] = 1


@njit
def _best_team_in_turn(table, prefix, player, cost, some, size, row, work, best):  # type: ignore[no-untyped-def]
    """Try each team of `size` new stringers that could be better when turns do not matter."""
    price, stringers, count = table.new_price[player], cost.shape[1], cost.shape[0]
    joined = np.full(2, -1, np.int64)
    for a in range(stringers):
        for b in range(a + 1, stringers) if size > 1 else range(a, a + 1):
            for c in range(b + 1, stringers) if size > 2 else range(b, b + 1):
                if price[a] == 0 or price[b] == 0 or price[c] == 0:
                    continue
                paid = price[a] + (price[b] if size > 1 else 0) + (price[c] if size > 2 else 0)
                paid -= table.first_free[player] * max(price[a], price[b], price[c])
                loose = paid
                for i in range(count):
                    loose += min(some[i], cost[i, a], cost[i, b], cost[i, c])
                if loose >= best:
                    continue
                last = _join_team(table, prefix, player, count, (a, b, c), size, row, work, joined)
                total = paid + _least_join(work.joined[last], work.alone[c], count)
                if total < best:
                    best = total
                    work.team[0], work.team[1], work.team[2] = a, b, c
    return best


@njit
def _join_team(table, prefix, player, count, team, size, row, work, joined):  # type: ignore[no-untyped-def]
    """Join all of a team but its last to the free ones, unless that is done; give the row."""
    for s in team:
        _need(table, prefix, player, count, s, work)
    if size > 1 and joined[0] != team[0]:
        convolve(work.joined[row], work.alone[team[0]], count, work.joined[row + 1])
        joined[0], joined[1] = team[0], -1
    if size > 2 and joined[1] != team[1]:
        convolve(work.joined[row + 1], work.alone[team[1]], count, work.joined[row + 2])
        joined[1] = team[1]
    return row + size - 1


@njit
def _least_join(one, other, count):  # type: ignore[no-untyped-def]
    least, full = FAR, (1 << count) - 1
    for part in range(full + 1):
        least = min(least, one[part] + other[full ^ part])
    return least


@njit
def mark_player(table, prefix, player, count, work, use):  # type: ignore[no-untyped-def]
    """Mark in `use` the minutes of the service that `serve_in_turn` found."""
    names = np.empty(table.new_price.shape[1], np.int64)
    rows = 0
    for s in range(names.shape[0]):
        if table.new_price[player, s] == 0 or s in (work.team[0], work.team[1], work.team[2]):
            names[rows] = s
            convolve(work.joined[rows], work.alone[s], count, work.joined[rows + 1])
            rows += 1
    chosen = (1 << count) - 1
    for row in range(rows - 1, -1, -1):
        part = chosen
        while work.joined[row, chosen ^ part] + work.alone[names[row], part] != work.joined[row + 1, chosen]:
            part = (part - 1) & chosen
        if part:
            _mark_stringer(table, prefix, table.player_from[player], count, names[row], part, work, use)
        chosen ^= part


@njit
def _mark_stringer(table, prefix, first, count, stringer, chosen, work, use):  # type: ignore[no-untyped-def]
    """Walk back through the table of a stringer and mark the minutes of a set of racquets."""
    t0, t = in_turn(table, prefix, first, count, stringer, work)
    rows = _rows_of(table, first, count, stringer)
    one, packed = np.empty(1, np.int64), work.packed
    while chosen:
        if packed[t - t0 - 1, chosen] == packed[t - t0, chosen]:
            t -= 1
            continue
        for i in range(count):
            if chosen >> i & 1:
                length = table.places[rows[i, 0], LENGTH]
                _ends(table, prefix, first + i, rows[i], t, t + 1, one)
                before = packed[max(t - length - t0, 0), chosen ^ (1 << i)]
                if one[0] < FAR and before + one[0] == packed[t - t0, chosen]:
                    _mark(table, prefix, first + i, rows[i], t, one[0], use)
                    chosen ^= 1 << i
                    t = max(t - length, t0)
                    break


@njit
def _mark(table, prefix, job, rows, end, cost, use):  # type: ignore[no-untyped-def]
    one = np.empty(1, np.int64)
    for k in range(rows[0], rows[1]):
        _ends(table, prefix, job, (k, k + 1), end, end + 1, one)
        if one[0] == cost:
            lane = table.places[k, LANE]
            for t in range(end - table.places[k, LENGTH], end):
                use[table.lanes[lane, 0], t] += 1
                if table.lanes[lane, 1] >= 0:
                    use[table.lanes[lane, 1], t] += 1
            return
