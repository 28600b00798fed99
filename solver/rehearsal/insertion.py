"""The cheapest place for a racquet among all orders."""

import numpy as np

from solver.rehearsal import table_columns as col
from solver.rehearsal.jit import compiled
from solver.rehearsal.laying_out import place, put_in
from solver.rehearsal.place_costs import player_points
from solver.rehearsal.table_columns import NEVER


@compiled
def cheapest_place(jobs, stringers, benches, orders, prefix, scalars, table, s, j, ceiling):  # type: ignore[no-untyped-def]
    """The added points and the place of least cost for ``j`` at ``s``; place -1 when none is below ``ceiling``.

    Of equal places the last is taken: who came first is served first.
    """
    n, at = stringers[s, col.LENGTH], -1
    for i in range(n, -1, -1):
        free, window = prefix[s, i, col.THEN_FREE], prefix[s, i, col.THEN_WINDOW]
        _, free, window, points = place(jobs, stringers, benches, scalars, table, s, j, free, window)
        if points >= ceiling:
            continue
        added, k = points, i
        while k < n and added < ceiling:
            if free == prefix[s, k, col.THEN_FREE] and window == prefix[s, k, col.THEN_WINDOW]:
                break
            _, free, window, points = place(jobs, stringers, benches, scalars, table, s, orders[s, k], free, window)
            added += points - (prefix[s, k + 1, col.COST] - prefix[s, k, col.COST])
            k += 1
        if added < ceiling:
            ceiling, at = added, i
    return ceiling, at


@compiled
def joining_points(jobs, stringers, counts, history, scalars, s, j):  # type: ignore[no-untyped-def]
    """What it adds to the player's continuity that ``s`` strings ``j``."""
    p = jobs[j, col.PLAYER]
    if counts[p, s] > 0:
        return 0
    before = player_points(counts, history, stringers, scalars, p)
    counts[p, s] = 1
    after = player_points(counts, history, stringers, scalars, p)
    counts[p, s] = 0
    return after - before


@compiled
def is_own(jobs, counts, history, s, j):  # type: ignore[no-untyped-def]
    """Whether the player of ``j`` has ``s`` already, or had before."""
    p = jobs[j, col.PLAYER]
    return counts[p, s] > 0 or (history[p, col.HIS_STRINGERS] >> s) & 1 == 1


@compiled
def insert_best(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, j, among):  # type: ignore[no-untyped-def]
    """Put ``j`` where it costs least at its player's own stringers or at one of the set ``among``.

    The own are tried first: what they cost makes the search at the others short.
    """
    best, who, where = NEVER, -1, 0
    for own in range(2):
        for s in range(stringers.shape[0]):
            full = stringers[s, col.LENGTH] == orders.shape[1]
            if full or not (jobs[j, col.WHO_MAY] >> s) & 1 or is_own(jobs, counts, history, s, j) != (own == 0):
                continue
            if own == 1 and not (among >> s) & 1 and best < NEVER:
                continue
            joining = joining_points(jobs, stringers, counts, history, scalars, s, j)
            if joining < best:
                ceiling = best - joining
                added, at = cheapest_place(jobs, stringers, benches, orders, prefix, scalars, table, s, j, ceiling)
                if at >= 0:
                    best, who, where = added + joining, s, at
    if who >= 0:
        put_in(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, who, where, j)
    return who


@compiled
def in_due_order(jobs, some, n):  # type: ignore[no-untyped-def]
    """Sort the first ``n`` of ``some`` by due time, the heavier first."""
    for i in range(1, n):
        j, k = some[i], i
        key = jobs[j, col.DUE] * np.int64(64) - jobs[j, col.WEIGHT]
        while k > 0 and jobs[some[k - 1], col.DUE] * np.int64(64) - jobs[some[k - 1], col.WEIGHT] > key:
            some[k] = some[k - 1]
            k -= 1
        some[k] = j
