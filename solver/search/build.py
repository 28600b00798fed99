"""First plans: from the places of an earlier one, or job by job in a given order."""

from solver.search.commit import clear_trial, join_machine, keep_best, leave_machine, take_over
from solver.search.compiled import compiled
from solver.search.continuity import recount
from solver.search.decode import decode, earliest, job_cost
from solver.search.layout import (
    BEST,
    COST,
    END,
    FRESH,
    HUGE,
    JOB_COLUMNS,
    LEFT_OUT,
    MACHINE,
    MACHINES,
    PLACE_COLUMNS,
    POSITION,
    SLOT_COLUMNS,
    START,
    STRINGER,
    STRINGERS,
    TOTAL,
)
from solver.search.trial import open_slot


@compiled
def take_out(cells, of, job):  # type: ignore[no-untyped-def]
    """Take a job that is not placed out of the unplaced."""
    nobody = of.stringers
    at = cells[of.place + PLACE_COLUMNS * job + POSITION]
    last = cells[of.length + nobody] - 1
    other = cells[of.order + of.racquets * nobody + last]
    cells[of.order + of.racquets * nobody + at] = other
    cells[of.place + PLACE_COLUMNS * other + POSITION] = at
    cells[of.length + nobody] = last


@compiled
def append(cells, of, job, stringer, machine, time):  # type: ignore[no-untyped-def]
    """Put an unplaced job at the end of a stringer's order, no earlier than ``time``."""
    n = cells[of.length + stringer]
    if n > 0:
        time = max(time, cells[of.place + PLACE_COLUMNS * cells[of.order + of.racquets * stringer + (n - 1)] + END])
    start = earliest(cells, of, stringer, job, machine, time)
    if start < 0:
        return
    take_out(cells, of, job)
    end = start + cells[of.minutes + of.stringers * job + stringer]
    cost = job_cost(cells, of, job, stringer, machine, end)
    delta = cost - cells[of.place + PLACE_COLUMNS * job + COST]
    delta += recount(cells, of, job, of.stringers, -1, stringer, machine)
    cells[of.order + of.racquets * stringer + n] = job
    cells[of.length + stringer] = n + 1
    place = of.place + PLACE_COLUMNS * job
    cells[place + STRINGER] = stringer
    cells[place + POSITION] = n
    cells[place + MACHINE] = machine
    cells[place + START] = start
    cells[place + END] = end
    cells[place + COST] = cost
    cells[of.machine + job] = machine
    join_machine(cells, of, job, stringer, machine)
    cells[of.counters + TOTAL] += delta


@compiled
def _empty(cells, of):  # type: ignore[no-untyped-def]
    nobody = of.stringers
    for stringer in range(nobody):
        for i in range(cells[of.length + stringer] - 1, -1, -1):
            job = cells[of.order + of.racquets * stringer + i]
            place = of.place + PLACE_COLUMNS * job
            leave_machine(cells, of, job, stringer, cells[place + MACHINE])
            delta = recount(cells, of, job, stringer, cells[place + MACHINE], nobody, -1)
            delta += cells[of.jobs + JOB_COLUMNS * job + LEFT_OUT] - cells[place + COST]
            cells[of.counters + TOTAL] += delta
            n = cells[of.length + nobody]
            cells[of.order + of.racquets * nobody + n] = job
            cells[of.length + nobody] = n + 1
            cells[of.length + stringer] = i
            cells[place + STRINGER] = nobody
            cells[place + POSITION] = n
            cells[place + MACHINE] = -1
            cells[place + START] = 0
            cells[place + END] = 0
            cells[place + COST] = cells[of.jobs + JOB_COLUMNS * job + LEFT_OUT]
            cells[of.machine + job] = -1


@compiled
def load(cells, of):  # type: ignore[no-untyped-def]
    """Take over the places of a table where they fit, later where they do not; then close gaps."""
    nobody = of.stringers
    _empty(cells, of)
    for i in range(of.racquets):
        job = cells[of.sequence + i]
        row = of.table + PLACE_COLUMNS * job
        stringer = cells[row + STRINGER]
        if stringer == nobody or cells[row + END] <= cells[row + START]:
            continue
        if (
            cells[of.minutes + of.stringers * job + stringer] > 0
            and cells[of.allowed + of.machines * job + cells[row + MACHINE]] == 1
        ):
            append(cells, of, job, stringer, cells[row + MACHINE], cells[row + START])
    close_gaps(cells, of)


@compiled
def close_gaps(cells, of):  # type: ignore[no-untyped-def]
    """Decode every stringer from the beginning."""
    for stringer in range(of.stringers):
        slot = open_slot(cells, of, stringer, 0, 0)
        cells[of.slots + SLOT_COLUMNS * slot + FRESH] = 0
        delta = decode(cells, of, slot, HUGE, True)
        if delta <= 0:
            take_over(cells, of, delta)
        else:
            clear_trial(cells, of)
    if cells[of.counters + TOTAL] < cells[of.counters + BEST]:
        cells[of.counters + BEST] = cells[of.counters + TOTAL]
        keep_best(cells, of)


@compiled
def _offer(cells, of, job, stringer, machine):  # type: ignore[no-untyped-def]
    """Points added by appending a job to a stringer's order, or HUGE."""
    n = cells[of.length + stringer]
    time = cells[of.place + PLACE_COLUMNS * cells[of.order + of.racquets * stringer + (n - 1)] + END] if n > 0 else 0
    start = earliest(cells, of, stringer, job, machine, time)
    if start < 0:
        return HUGE
    nobody = of.stringers
    cost = recount(cells, of, job, nobody, -1, stringer, machine)
    recount(cells, of, job, stringer, machine, nobody, -1)
    return cost + job_cost(cells, of, job, stringer, machine, start + cells[of.minutes + of.stringers * job + stringer])


@compiled
def _append_cheapest(cells, of, job):  # type: ignore[no-untyped-def]
    """Append an unplaced job where it adds least, or nowhere."""
    least = cells[of.jobs + JOB_COLUMNS * job + LEFT_OUT]
    to = -1
    at = -1
    for k in range(cells[of.jobs + JOB_COLUMNS * job + STRINGERS]):
        stringer = cells[of.may + of.stringers * job + k]
        bench = cells[of.bench + stringer]
        at_bench = bench >= 0 and cells[of.allowed + of.machines * job + bench] == 1
        for h in range(1 if at_bench else cells[of.jobs + JOB_COLUMNS * job + MACHINES]):
            machine = bench if at_bench else cells[of.where + of.machines * job + h]
            cost = _offer(cells, of, job, stringer, machine)
            if cost < least:
                least = cost
                to = stringer
                at = machine
    if to >= 0:
        append(cells, of, job, to, at, 0)


@compiled
def dispatch(cells, of):  # type: ignore[no-untyped-def]
    """Append the jobs of a sequence, each at the bench that a table names, else where it adds least."""
    nobody = of.stringers
    _empty(cells, of)
    for i in range(of.racquets):
        job = cells[of.sequence + i]
        row = of.table + PLACE_COLUMNS * job
        stringer = cells[row + STRINGER]
        machine = cells[row + MACHINE]
        if (
            stringer != nobody
            and cells[of.minutes + of.stringers * job + stringer] > 0
            and cells[of.allowed + of.machines * job + machine] == 1
        ):
            append(cells, of, job, stringer, machine, 0)
        if cells[of.place + PLACE_COLUMNS * job + STRINGER] == nobody:
            _append_cheapest(cells, of, job)
    close_gaps(cells, of)
