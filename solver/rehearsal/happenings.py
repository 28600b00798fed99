"""The day as it happens: racquets come, stringers start and finish, machines fail, needed-by times move."""

import numpy as np

from solver.rehearsal.jit import compiled
from solver.rehearsal.laying_out import lay_out, machine_for
from solver.rehearsal.place_costs import bench_minutes
from solver.rehearsal.replan import first_placed, plan_on
from solver.rehearsal.table_columns import (
    BEGIN,
    DONE,
    DUE,
    DUE_THEN,
    END,
    FREE,
    GUESS,
    KNOWN,
    LATEST,
    LATEST_THEN,
    LENGTH,
    NEVER,
    NOW,
    ON_MACHINE,
    RUNNING,
    SEED,
    START,
    STATE,
    THEN_WINDOW,
    TRUE_END,
    WAITING,
    WHERE,
    WHO,
    WINDOWS,
)


@compiled
def play_day(  # type: ignore[no-untyped-def]
    jobs,
    factors,
    arrivals,
    news,
    tables,
    numbers,
    table_from,
    stringers,
    counts,
    history,
    scalars,
    table,
    orders,
    kept,
    prefix,
    busy,
    new,
    taken,
    lengths,
):
    """Play the day to its end; how it went stands in ``jobs``.

    ``news`` are rows of time, racquet, due, latest; ``tables`` the benches dealt anew from each of ``table_from``.
    """
    np.random.seed(scalars[SEED])
    n_stringers = stringers.shape[0]
    next_arrival = next_news = next_table = 0
    benches = tables[0]
    while True:
        t = NEVER
        if next_arrival < len(arrivals):
            t = min(t, jobs[arrivals[next_arrival], KNOWN])
        if next_news < len(news):
            t = min(t, news[next_news, 0])
        if next_table < len(table_from):
            t = min(t, table_from[next_table])
        t = min(t, next_bench_event(jobs, stringers, benches, orders, prefix, scalars, busy))
        if t == NEVER:
            return
        t = max(t, scalars[NOW])
        scalars[NOW] = t
        changed = finish(jobs, stringers, busy, t)
        n_new = 0
        while next_arrival < len(arrivals) and jobs[arrivals[next_arrival], KNOWN] <= t:
            new[n_new] = arrivals[next_arrival]
            jobs[new[n_new], STATE] = WAITING
            n_new += 1
            next_arrival += 1
        while next_news < len(news) and news[next_news, 0] <= t:
            changed = take_news(jobs, news, next_news) or changed
            next_news += 1
        while next_table < len(table_from) and table_from[next_table] <= t:
            benches = tables[next_table]
            for s in range(n_stringers):
                stringers[s, WINDOWS] = numbers[next_table, s]
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
        if stringers[s, RUNNING] >= 0:
            t = min(t, stringers[s, TRUE_END])
            continue
        i = first_placed(stringers, prefix, s)
        if i < stringers[s, LENGTH]:
            machine = machine_for(jobs, benches, scalars, s, prefix[s, i + 1, THEN_WINDOW], orders[s, i])
            if not busy[machine]:
                t = min(t, prefix[s, i + 1, BEGIN])
    return t


@compiled
def finish(jobs, stringers, busy, t):  # type: ignore[no-untyped-def]
    """Finish what is done at ``t``; tell whether any end was another than expected."""
    changed = False
    for s in range(stringers.shape[0]):
        j = stringers[s, RUNNING]
        if j >= 0 and stringers[s, TRUE_END] <= t:
            jobs[j, STATE] = DONE
            jobs[j, DUE_THEN], jobs[j, LATEST_THEN] = jobs[j, DUE], jobs[j, LATEST]
            busy[jobs[j, WHERE]] = 0
            stringers[s, RUNNING], stringers[s, FREE] = -1, t
            changed = changed or stringers[s, GUESS] != t
    return changed


@compiled
def take_news(jobs, news, row):  # type: ignore[no-untyped-def]
    """Move a racquet's needed-by time; tell whether that concerns the plan."""
    j = news[row, 1]
    if jobs[j, STATE] == DONE:
        return False
    jobs[j, DUE], jobs[j, LATEST] = news[row, 2], news[row, 3]
    return jobs[j, STATE] == WAITING


@compiled
def start(jobs, factors, stringers, benches, orders, prefix, scalars, table, busy, t):  # type: ignore[no-untyped-def]
    """Start what is planned for now wherever stringer and machine are free."""
    for s in range(stringers.shape[0]):
        if stringers[s, RUNNING] >= 0:
            continue
        i = first_placed(stringers, prefix, s)
        if i == stringers[s, LENGTH] or prefix[s, i + 1, BEGIN] > t:
            continue
        j = orders[s, i]
        machine = machine_for(jobs, benches, scalars, s, prefix[s, i + 1, THEN_WINDOW], j)
        if busy[machine]:
            continue
        length = bench_minutes(jobs, stringers, s, j)
        for k in range(i, stringers[s, LENGTH] - 1):
            orders[s, k] = orders[s, k + 1]
        stringers[s, LENGTH] -= 1
        end = t + max(1, np.int64(np.rint(length * factors[j])))
        jobs[j, STATE], jobs[j, START], jobs[j, END], jobs[j, WHO], jobs[j, WHERE] = ON_MACHINE, t, end, s, machine
        busy[machine] = 1
        stringers[s, RUNNING], stringers[s, GUESS], stringers[s, TRUE_END] = j, t + length, end
        stringers[s, FREE] = t + length
        lay_out(jobs, stringers, benches, orders, prefix, scalars, table, s, 0)
