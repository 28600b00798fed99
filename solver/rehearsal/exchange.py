"""Making the plan better: take some racquets out and put each back where it costs least."""

import numpy as np

from solver.rehearsal import table_columns as col
from solver.rehearsal.insertion import in_due_order, insert_best
from solver.rehearsal.jit import compiled
from solver.rehearsal.laying_out import count, find, lay_out, take_out
from solver.rehearsal.table_columns import EVERYBODY

MOST_TAKEN = 8
SLACK = 80
"""Points by which a plan may be dearer than the best so far, in the first two thirds of the steps."""
FEW = 4
"""With more stringers than these, a racquet is tried at its player's own and at about a quarter of the others."""


@compiled
def improve(jobs, stringers, benches, orders, kept, prefix, counts, history, scalars, table, steps, taken, lengths):  # type: ignore[no-untyped-def]
    """Try ``steps`` times to take some racquets out and put them back better; what is dearer is undone.

    In the first two thirds a little dearer than the best will do: record to record travel (Dueck 1993, J. Comput.
    Phys. 104:86).
    """
    n_stringers = stringers.shape[0]
    waiting = 0
    for s in range(n_stringers):
        waiting += stringers[s, col.LENGTH]
    if waiting < 1:
        return
    best = scalars[col.TOTAL]
    for step in range(steps):
        before = scalars[col.TOTAL]
        allowed = max(before, best + SLACK) if 3 * step < 2 * steps else before
        for s in range(n_stringers):
            lengths[s] = stringers[s, col.LENGTH]
            for i in range(lengths[s]):
                kept[s, i] = orders[s, i]
        n = choose(jobs, stringers, orders, prefix, waiting, taken)
        for i in range(n):
            s = jobs[taken[i], col.WHO]
            at = find(stringers, orders, s, taken[i])
            take_out(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, s, at)
        dearer = put_back(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, taken, n, allowed)
        if dearer:
            undo(jobs, stringers, benches, orders, kept, prefix, counts, history, scalars, table, taken, n, lengths)
            scalars[col.TOTAL] = before
        best = min(best, scalars[col.TOTAL])


@compiled
def choose(jobs, stringers, orders, prefix, waiting, taken):  # type: ignore[no-untyped-def]
    """Choose racquets to take out, beginning at a dear one; give how many."""
    s, i = nth(stringers, np.random.randint(waiting))
    o, k = nth(stringers, np.random.randint(waiting))
    if prefix[o, k + 1, col.COST] - prefix[o, k, col.COST] > prefix[s, i + 1, col.COST] - prefix[s, i, col.COST]:
        s, i = o, k
    kind, wanted = np.random.randint(4), 1 + np.random.randint(5)
    if kind == 0:
        return choose_bag(jobs, stringers, orders, jobs[orders[s, i], col.PLAYER], taken)
    if kind == 1:
        return choose_following(stringers, orders, s, i, wanted, taken)
    if kind == 2:
        return choose_beside(stringers, orders, prefix, s, i, wanted, taken)
    return choose_any(stringers, orders, s, i, wanted, waiting, taken)


@compiled
def choose_bag(jobs, stringers, orders, p, taken):  # type: ignore[no-untyped-def]
    """All racquets of player ``p``."""
    n = 0
    for k in range(stringers.shape[0]):
        for q in range(stringers[k, col.LENGTH]):
            if n < MOST_TAKEN and jobs[orders[k, q], col.PLAYER] == p:
                taken[n] = orders[k, q]
                n += 1
    return n


@compiled
def choose_following(stringers, orders, s, i, wanted, taken):  # type: ignore[no-untyped-def]
    """Some that follow one another at ``s`` from the ``i``-th on."""
    n = min(wanted, stringers[s, col.LENGTH] - i)
    for k in range(n):
        taken[k] = orders[s, i + k]
    return n


@compiled
def choose_beside(stringers, orders, prefix, s, i, wanted, taken):  # type: ignore[no-untyped-def]
    """The ``i``-th of ``s``, and those that some others string at that time."""
    at, n = prefix[s, i, col.THEN_FREE], 1
    taken[0] = orders[s, i]
    for o in range(stringers.shape[0]):
        if o == s or n == MOST_TAKEN or np.random.randint(stringers.shape[0]) >= wanted:
            continue
        k = 0
        while k < stringers[o, col.LENGTH] and prefix[o, k + 1, col.THEN_FREE] <= at:
            k += 1
        if k < stringers[o, col.LENGTH]:
            taken[n] = orders[o, k]
            n += 1
    return n


@compiled
def choose_any(stringers, orders, s, i, wanted, waiting, taken):  # type: ignore[no-untyped-def]
    """The ``i``-th of ``s``, and any others."""
    n = 0
    while n < wanted:
        fresh = True
        for k in range(n):
            fresh = fresh and taken[k] != orders[s, i]
        if fresh:
            taken[n] = orders[s, i]
            n += 1
        else:
            wanted -= 1
        s, i = nth(stringers, np.random.randint(waiting))
    return n


@compiled
def nth(stringers, n):  # type: ignore[no-untyped-def]
    """The stringer and place of the ``n``-th racquet in all orders."""
    s = 0
    while n >= stringers[s, col.LENGTH]:
        n -= stringers[s, col.LENGTH]
        s += 1
    return s, n


@compiled
def put_back(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, taken, n, allowed):  # type: ignore[no-untyped-def]
    """Put the taken racquets back, each where it costs least; tell whether the plan is dearer than ``allowed``."""
    if np.random.randint(2) == 0:
        in_due_order(jobs, taken, n)
    else:
        for i in range(n - 1, 0, -1):
            k = np.random.randint(i + 1)
            taken[i], taken[k] = taken[k], taken[i]
    among = EVERYBODY
    if stringers.shape[0] > FEW:
        among = np.random.randint(EVERYBODY) & np.random.randint(EVERYBODY)
    for i in range(n):
        insert_best(jobs, stringers, benches, orders, prefix, counts, history, scalars, table, taken[i], among)
    return scalars[col.TOTAL] > allowed


@compiled
def undo(jobs, stringers, benches, orders, kept, prefix, counts, history, scalars, table, taken, n, lengths):  # type: ignore[no-untyped-def]
    """Set all orders back to what was kept."""
    for i in range(n):
        j = taken[i]
        if jobs[j, col.WHO] >= 0:
            count(jobs, stringers, counts, history, scalars, jobs[j, col.WHO], j, -1)
            jobs[j, col.WHO] = -1
    for s in range(stringers.shape[0]):
        first = lengths[s]
        for i in range(lengths[s] - 1, -1, -1):
            if i >= stringers[s, col.LENGTH] or orders[s, i] != kept[s, i]:
                orders[s, i], first = kept[s, i], i
        if first < lengths[s] or stringers[s, col.LENGTH] != lengths[s]:
            stringers[s, col.LENGTH] = lengths[s]
            lay_out(jobs, stringers, benches, orders, prefix, scalars, table, s, first)
        for i in range(lengths[s]):
            j = orders[s, i]
            if jobs[j, col.WHO] != s:
                jobs[j, col.WHO] = s
                count(jobs, stringers, counts, history, scalars, s, j, 1)
