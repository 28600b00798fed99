"""The day as it happens: racquets come, stringers start and finish, machines fail, needed-by times move."""

import numpy as np

from solver.rehearsal import table_columns as col
from solver.rehearsal.jit import compiled
from solver.rehearsal.laying_out import lay_out, machine_for
from solver.rehearsal.place_costs import bench_minutes
from solver.rehearsal.replan import first_placed, plan_on
from solver.rehearsal.table_columns import DONE, NEVER, ON_MACHINE, WAITING


@compiled
def play_day(  # type: ignore[no-untyped-def]
    jobs, factors, arrivals, news, tables, numbers, table_from, stringers, counts, history, scalars, table, orders,
    kept, prefix, busy, new, taken, lengths,
):  # fmt: skip
    """Play the day to its end; how it went stands in ``jobs``.

    ``news`` are rows of time, racquet, due, latest; ``tables`` the benches dealt anew from each of ``table_from``.
    """
    np.random.seed(scalars[col.SEED])
    n_stringers = stringers.shape[0]
    next_arrival = next_news = next_table = 0
    benches = tables[0]
    while True:
        t = NEVER
        if next_arrival < len(arrivals):
            t = min(t, jobs[arrivals[next_arrival], col.KNOWN])
        if next_news < len(news):
            t = min(t, news[next_news, 0])
        if next_table < len(table_from):
            t = min(t, table_from[next_table])
        t = min(t, next_bench_event(jobs, stringers, benches, orders, prefix, scalars, busy))
        if t == NEVER:
            return
        t = max(t, scalars[col.NOW])
        scalars[col.NOW] = t
        changed = finish(jobs, stringers, busy, t)
        n_new = 0
        while next_arrival < len(arrivals) and jobs[arrivals[next_arrival], col.KNOWN] <= t:
            new[n_new] = arrivals[next_arrival]
            jobs[new[n_new], col.STATE] = WAITING
            n_new += 1
            next_arrival += 1
        while next_news < len(news) and news[next_news, 0] <= t:
            changed = take_news(jobs, news, next_news) or changed
            next_news += 1
        while next_table < len(table_from) and table_from[next_table] <= t:
            benches = tables[next_table]
            for s in range(n_stringers):
                stringers[s, col.WINDOWS] = numbers[next_table, s]
            next_table += 1
            changed = True
        if changed or n_new > 0:
            plan_on(
                jobs, stringers, benches, orders, kept, prefix, counts, history, scalars, table,
                new, n_new, taken, lengths,
            )  # fmt: skip
        start(jobs, factors, stringers, benches, orders, prefix, scalars, table, busy, t)


@compiled
def next_bench_event(jobs, stringers, benches, orders, prefix, scalars, busy):  # type: ignore[no-untyped-def]
    """When the next stringer finishes, or may start."""
    t = NEVER
    for s in range(stringers.shape[0]):
        if stringers[s, col.RUNNING] >= 0:
            t = min(t, stringers[s, col.TRUE_END])
            continue
        i = first_placed(stringers, prefix, s)
        if i < stringers[s, col.LENGTH]:
            machine = machine_for(jobs, benches, scalars, s, prefix[s, i + 1, col.THEN_WINDOW], orders[s, i])
            if not busy[machine]:
                t = min(t, prefix[s, i + 1, col.BEGIN])
    return t


@compiled
def finish(jobs, stringers, busy, t):  # type: ignore[no-untyped-def]
    """Finish what is done at ``t``; tell whether any end was another than expected."""
    changed = False
    for s in range(stringers.shape[0]):
        j = stringers[s, col.RUNNING]
        if j >= 0 and stringers[s, col.TRUE_END] <= t:
            jobs[j, col.STATE] = DONE
            jobs[j, col.DUE_THEN], jobs[j, col.LATEST_THEN] = jobs[j, col.DUE], jobs[j, col.LATEST]
            busy[jobs[j, col.WHERE]] = 0
            stringers[s, col.RUNNING], stringers[s, col.FREE] = -1, t
            changed = changed or stringers[s, col.GUESS] != t
    return changed


@compiled
def take_news(jobs, news, row):  # type: ignore[no-untyped-def]
    """Move a racquet's needed-by time; tell whether that concerns the plan."""
    j = news[row, 1]
    if jobs[j, col.STATE] == DONE:
        return False
    jobs[j, col.DUE], jobs[j, col.LATEST] = news[row, 2], news[row, 3]
    return jobs[j, col.STATE] == WAITING


@compiled
def start(jobs, factors, stringers, benches, orders, prefix, scalars, table, busy, t):  # type: ignore[no-untyped-def]
    """Start what is planned for now wherever stringer and machine are free."""
    for s in range(stringers.shape[0]):
        if stringers[s, col.RUNNING] >= 0:
            continue
        i = first_placed(stringers, prefix, s)
        if i == stringers[s, col.LENGTH] or prefix[s, i + 1, col.BEGIN] > t:
            continue
        j = orders[s, i]
        machine = machine_for(jobs, benches, scalars, s, prefix[s, i + 1, col.THEN_WINDOW], j)
        if busy[machine]:
            continue
        length = bench_minutes(jobs, stringers, s, j)
        for k in range(i, stringers[s, col.LENGTH] - 1):
            orders[s, k] = orders[s, k + 1]
        stringers[s, col.LENGTH] -= 1
        end = t + max(1, np.int64(np.rint(length * factors[j])))
        jobs[j, col.STATE], jobs[j, col.START], jobs[j, col.END] = ON_MACHINE, t, end
        jobs[j, col.WHO], jobs[j, col.WHERE] = s, machine
        busy[machine] = 1
        stringers[s, col.RUNNING], stringers[s, col.GUESS], stringers[s, col.TRUE_END] = j, t + length, end
        stringers[s, col.FREE] = t + length
        lay_out(jobs, stringers, benches, orders, prefix, scalars, table, s, 0)
