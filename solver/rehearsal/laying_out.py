"""The order of each stringer's racquets: laid out in time, taken from, put into."""

from solver.rehearsal import table_columns as col
from solver.rehearsal.jit import compiled
from solver.rehearsal.place_costs import bench_minutes, late_points, place_points, player_points, unplaced_points


@compiled
def machine_for(jobs, benches, scalars, s, window, j):  # type: ignore[no-untyped-def]
    """The machine for racquet ``j`` in a bench window: the window's, else a spare one that it may use, else -1."""
    machine, may = benches[s, window, 2], jobs[j, col.WHERE_MAY]
    if (may >> machine) & 1:
        return machine
    spare = scalars[col.SPARE] & may
    if spare == 0:
        return -1
    found = 0
    while not (spare >> found) & 1:
        found += 1
    return found


@compiled
def begin_of(jobs, stringers, scalars, table, s, j, free):  # type: ignore[no-untyped-def]
    """When ``s``, free from ``free``, should begin ``j``: fresh, unless waiting for that would cost more."""
    begin, fresh = max(free, jobs[j, col.READY]), jobs[j, col.FRESH]
    if begin < fresh:
        length = bench_minutes(jobs, stringers, s, j)
        if late_points(jobs, scalars, table, j, fresh + length) <= scalars[col.P_STALE]:
            return fresh
    return begin


@compiled
def place(jobs, stringers, benches, scalars, table, s, j, free, window):  # type: ignore[no-untyped-def]
    """Where ``j`` comes to lie from ``free`` in ``window`` on: begin (-1: no room), free then, window, points."""
    length = bench_minutes(jobs, stringers, s, j)
    begin = begin_of(jobs, stringers, scalars, table, s, j, free)
    for k in range(window, stringers[s, col.WINDOWS]):
        start = max(begin, benches[s, k, 0])
        if start + length <= benches[s, k, 1]:
            machine = machine_for(jobs, benches, scalars, s, k, j)
            if machine >= 0:
                end = start + length
                return start, end, k, place_points(jobs, stringers, scalars, table, s, j, start, end, machine)
    return -1, free, window, unplaced_points(jobs, scalars, j)


@compiled
def lay_out(jobs, stringers, benches, orders, prefix, scalars, table, s, first):  # type: ignore[no-untyped-def]
    """Reckon the times of ``s`` from the ``first`` racquet of the order on; give the change of the total."""
    n = stringers[s, col.LENGTH]
    if first == 0:
        prefix[s, 0, col.THEN_FREE] = stringers[s, col.FREE]
        prefix[s, 0, col.THEN_WINDOW], prefix[s, 0, col.COST] = 0, 0
    for i in range(first, n):
        free, window = prefix[s, i, col.THEN_FREE], prefix[s, i, col.THEN_WINDOW]
        begin, free, window, points = place(jobs, stringers, benches, scalars, table, s, orders[s, i], free, window)
        prefix[s, i + 1, col.BEGIN], prefix[s, i + 1, col.THEN_FREE] = begin, free
        prefix[s, i + 1, col.THEN_WINDOW], prefix[s, i + 1, col.COST] = window, prefix[s, i, col.COST] + points
    return prefix[s, n, col.COST]


@compiled
def take_out(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, s, i):  # type: ignore[no-untyped-def]
    """Take the ``i``-th racquet out of the order of ``s``."""
    n, j = stringers[s, col.LENGTH], orders[s, i]
    before = prefix[s, n, col.COST]
    for k in range(i, n - 1):
        orders[s, k] = orders[s, k + 1]
    stringers[s, col.LENGTH] = n - 1
    scalars[col.TOTAL] += lay_out(jobs, stringers, benches, orders, prefix, scalars, table, s, i) - before
    count(jobs, stringers, counts, history, scalars, s, j, -1)
    jobs[j, col.WHO] = -1


@compiled
def put_in(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, s, i, j):  # type: ignore[no-untyped-def]
    """Put racquet ``j`` at place ``i`` into the order of ``s``."""
    n = stringers[s, col.LENGTH]
    before = prefix[s, n, col.COST]
    for k in range(n, i, -1):
        orders[s, k] = orders[s, k - 1]
    orders[s, i] = j
    stringers[s, col.LENGTH] = n + 1
    scalars[col.TOTAL] += lay_out(jobs, stringers, benches, orders, prefix, scalars, table, s, i) - before
    count(jobs, stringers, counts, history, scalars, s, j, 1)
    jobs[j, col.WHO] = s


@compiled
def count(jobs, stringers, counts, history, scalars, s, j, change):  # type: ignore[no-untyped-def]
    """Note that ``s`` has a racquet more or less of the player of ``j``."""
    p = jobs[j, col.PLAYER]
    now = counts[p, s] + change
    if counts[p, s] == 0 or now == 0:
        before = player_points(counts, history, stringers, scalars, p)
        counts[p, s] = now
        scalars[col.TOTAL] += player_points(counts, history, stringers, scalars, p) - before
    else:
        counts[p, s] = now


@compiled
def find(stringers, orders, s, j):  # type: ignore[no-untyped-def]
    """The place of racquet ``j`` in the order of ``s``."""
    for i in range(stringers[s, col.LENGTH]):
        if orders[s, i] == j:
            return i
    return -1
