"""Planning on after a change: times reckoned anew, what came put in, some search, and what the new are told."""

import numpy as np

from solver.rehearsal import table_columns as col
from solver.rehearsal.exchange import improve
from solver.rehearsal.insertion import in_due_order, insert_best, joining_points
from solver.rehearsal.jit import compiled
from solver.rehearsal.laying_out import lay_out, place, put_in, take_out
from solver.rehearsal.table_columns import EVERYBODY, NEVER

OFF_THE_STREET, ROUND_TO = 5.0, 5
"""Minutes of a promise for racquets that come in between, and to what it is rounded up."""
LESS = 5
"""Where no racquet came, the steps are divided by this."""
PER_NEW, MOST_NEW = 8, 100
"""Steps of search more for each racquet that came, for so many of them."""


@compiled
def first_placed(stringers, prefix, s):  # type: ignore[no-untyped-def]
    """The first place in the order of ``s`` that found room."""
    i = 0
    while i < stringers[s, col.LENGTH] and prefix[s, i + 1, col.BEGIN] < 0:
        i += 1
    return i


@compiled
def plan_on(  # type: ignore[no-untyped-def]
    jobs, stringers, benches, orders, kept, prefix, counts, history, scalars, table, new, n_new, taken, lengths
):
    """Reckon all times anew from now, put in what came, search a little, and tell the new their times."""
    now = scalars[col.NOW]
    for s in range(stringers.shape[0]):
        if stringers[s, col.RUNNING] >= 0:
            stringers[s, col.FREE] = max(stringers[s, col.GUESS], now + 1)
        else:
            stringers[s, col.FREE] = max(stringers[s, col.FREE], now)
        lay_out(jobs, stringers, benches, orders, prefix, scalars, table, s, 0)
    in_due_order(jobs, new, n_new)
    for i in range(n_new):
        insert_best(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, new[i], EVERYBODY)
    for s in range(stringers.shape[0]):
        if stringers[s, col.RUNNING] < 0:
            pull(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, s)
    steps = scalars[col.EFFORT] // LESS
    if n_new > 0 and steps > 0:
        steps = scalars[col.EFFORT] + min(n_new, MOST_NEW) * PER_NEW
    improve(jobs, stringers, benches, orders, kept, prefix, counts, history, scalars, table, steps, taken, lengths)
    for s in range(stringers.shape[0]):
        tell(jobs, stringers, orders, prefix, scalars, s)


@compiled
def pull(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, s):  # type: ignore[no-untyped-def]
    """Give an idle stringer the racquet of another that gains most by being started now."""
    now = scalars[col.NOW]
    i = first_placed(stringers, prefix, s)
    if i < stringers[s, col.LENGTH] and prefix[s, i + 1, col.BEGIN] <= now:
        return
    best, which = 0, -1
    for o in range(stringers.shape[0]):
        if o == s:
            continue
        for k in range(stringers[o, col.LENGTH]):
            j = orders[o, k]
            gain = gain_of_pull(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, s, o, k, j)
            if gain > best:
                best, which = gain, j
    if which >= 0:
        o, k = jobs[which, col.WHO], 0
        while orders[o, k] != which:
            k += 1
        take_out(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, o, k)
        put_in(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, s, 0, which)


@compiled
def gain_of_pull(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, s, o, k, j):  # type: ignore[no-untyped-def]
    """The points saved, its own and its player's, when ``s`` begins ``j`` now instead of the ``k``-th turn of ``o``."""
    now = scalars[col.NOW]
    begin, _, _, points = place(jobs, stringers, benches, scalars, table, s, j, now, prefix[s, 0, col.THEN_WINDOW])
    if begin != now:
        return 0
    free, window = prefix[o, k, col.THEN_FREE], prefix[o, k, col.THEN_WINDOW]
    saved = prefix[o, k + 1, col.COST] - prefix[o, k, col.COST] - points
    saved -= joining_points(jobs, stringers, counts, history, scalars, s, j)
    for i in range(k + 1, stringers[o, col.LENGTH]):
        _, free, window, points = place(jobs, stringers, benches, scalars, table, o, orders[o, i], free, window)
        saved += prefix[o, i + 1, col.COST] - prefix[o, i, col.COST] - points
    return saved


@compiled
def tell(jobs, stringers, orders, prefix, scalars, s):  # type: ignore[no-untyped-def]
    """Note for each racquet that is new when it should be ready, and what the player is told."""
    variance, free = 0.0, stringers[s, col.FREE]
    for i in range(stringers[s, col.LENGTH]):
        j, begin = orders[s, i], prefix[s, i + 1, col.BEGIN]
        if begin < 0:
            continue
        end = prefix[s, i + 1, col.THEN_FREE]
        if begin > free:
            variance *= max(0.0, 1.0 - (begin - free) / 60.0)
        free = end
        variance += (scalars[col.MARGIN] * (end - begin) / 10000.0) ** 2
        if jobs[j, col.TOLD] == NEVER:
            jobs[j, col.TOLD] = end
            if scalars[col.TELLS]:
                pad = OFF_THE_STREET + 1.2816 * np.sqrt(variance)
                jobs[j, col.PROMISED] = -(-(end + np.int64(np.ceil(pad))) // ROUND_TO) * ROUND_TO
