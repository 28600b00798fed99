"""From orders to times: the earliest start of each job after the one before it.

A move replaces a stretch of the order of a few stringers (its *slots*).  Each slot is decoded from
that stretch on, until a job falls on its old start; all other stringers keep their times, and
their work on a shared machine is an obstacle.
"""

from solver.search.compiled import compiled
from solver.search.layout import (
    CAP,
    COST,
    COUNT,
    DONE,
    DUE,
    END,
    FIRST,
    FRESH,
    HUGE,
    JOB_COLUMNS,
    LAST,
    LATE,
    LEFT_OUT,
    MACHINE,
    ORIGIN,
    OWNER,
    PLACE_COLUMNS,
    POSITION,
    PROMISE,
    PROMISED,
    READY,
    RESUME,
    SLOT_COLUMNS,
    SLOTS_USED,
    START,
    STRINGER,
    TOUCHING,
    WAITING,
)


@compiled
def job_cost(cells, of, job, stringer, machine, end):  # type: ignore[no-untyped-def]
    """Points of a planned job, continuity apart."""
    fields = of.jobs + JOB_COLUMNS * job
    points = of.points
    cost = cells[of.fixed + of.stringers * job + stringer] + cells[of.away + of.machines * stringer + machine]
    cost += cells[points + WAITING] * (end - cells[fields + ORIGIN])
    late = end - cells[fields + DUE]
    if late > 0:
        cost += cells[fields + LATE] * min(late, cells[points + CAP])
    late = end - cells[fields + PROMISED]
    if late > 0:
        cost += cells[points + PROMISE] * min(late, cells[points + CAP])
    return cost


@compiled
def _stands(cells, of, slot, position):  # type: ignore[no-untyped-def]
    """Whether the job at a position keeps its time, as far as the trial has been decoded."""
    if slot < 0 or position < cells[of.slots + SLOT_COLUMNS * slot + FIRST]:
        return True
    return (
        cells[of.slots + SLOT_COLUMNS * slot + DONE] == 1 and position >= cells[of.slots + SLOT_COLUMNS * slot + RESUME]
    )


@compiled
def first_ending_after(cells, of, stringer, time):  # type: ignore[no-untyped-def]
    """The first position in a stringer's order whose job ends after ``time``."""
    low = 0
    high = cells[of.length + stringer]
    while low < high:
        middle = (low + high) // 2
        if cells[of.place + PLACE_COLUMNS * cells[of.order + of.racquets * stringer + middle] + END] > time:
            high = middle
        else:
            low = middle + 1
    return low


@compiled
def _host_clash(cells, of, host, machine, start, end):  # type: ignore[no-untyped-def]
    slot = cells[of.slot_of + host]
    for i in range(first_ending_after(cells, of, host, start), cells[of.length + host]):
        place = of.place + PLACE_COLUMNS * cells[of.order + of.racquets * host + i]
        if cells[place + START] >= end:
            return -1
        if (
            cells[place + MACHINE] == machine
            and cells[place + END] > cells[place + START]
            and _stands(cells, of, slot, i)
        ):
            return cells[place + END]
    return -1


@compiled
def _trial_clash(cells, of, stringer, machine, start, end):  # type: ignore[no-untyped-def]
    for slot in range(cells[of.counters + SLOTS_USED]):
        if (
            cells[of.slots + SLOT_COLUMNS * slot + DONE] == 0
            or cells[of.slots + SLOT_COLUMNS * slot + OWNER] == stringer
        ):
            continue
        for i in range(cells[of.slots + SLOT_COLUMNS * slot + COUNT]):
            until = cells[of.trial_end + of.racquets * slot + i]
            since = cells[of.trial_start + of.racquets * slot + i]
            if (
                since < end
                and until > start
                and (until > since)
                and (cells[of.machine + cells[of.trial_job + of.racquets * slot + i]] == machine)
            ):
                return until
    return -1


@compiled
def clash(cells, of, stringer, machine, start, end):  # type: ignore[no-untyped-def]
    """End of another stringer's work on the machine within ``[start, end)``, or -1."""
    for i in range(cells[of.guest_count + machine]):
        job = cells[of.guests + of.racquets * machine + i]
        place = of.place + PLACE_COLUMNS * job
        if cells[place + START] >= end or cells[place + END] <= start or cells[place + END] == cells[place + START]:
            continue
        other = cells[place + STRINGER]
        if other != stringer and _stands(cells, of, cells[of.slot_of + other], cells[place + POSITION]):
            return cells[place + END]
    host = cells[of.host + machine]
    if host >= 0 and host != stringer:
        until = _host_clash(cells, of, host, machine, start, end)
        if until >= 0:
            return until
    if cells[of.counters + SLOTS_USED] > 1:
        return _trial_clash(cells, of, stringer, machine, start, end)
    return -1


@compiled
def earliest(cells, of, stringer, job, machine, time):  # type: ignore[no-untyped-def]
    """The earliest start from ``time`` on in the hours of both, or -1 when there is none."""
    length = cells[of.minutes + of.stringers * job + stringer]
    start = max(time, cells[of.jobs + JOB_COLUMNS * job + READY])
    row = stringer * of.machines + machine
    alone = cells[of.guest_count + machine] == 0 and cells[of.host + machine] == stringer
    alone = alone and cells[of.counters + TOUCHING] == 0
    for w in range(cells[of.window_count + of.machines * stringer + machine]):
        window = of.windows + 2 * (of.window_slots * row + w)
        while True:
            at = max(start, cells[window])
            if at + length > cells[window + 1]:
                break
            if alone:
                return at
            until = clash(cells, of, stringer, machine, at, at + length)
            if until < 0:
                return at
            start = until
    return -1


@compiled
def _try(cells, of, slot, at, job, time):  # type: ignore[no-untyped-def]
    """Put a job into the slot's trial after ``time``; return its start, or -1 where none fits."""
    stringer = cells[of.slots + SLOT_COLUMNS * slot + OWNER]
    machine = cells[of.machine + job]
    start = earliest(cells, of, stringer, job, machine, time)
    cells[of.trial_job + of.racquets * slot + at] = job
    if start < 0:
        cells[of.trial_start + of.racquets * slot + at] = time
        cells[of.trial_end + of.racquets * slot + at] = time
        cells[of.trial_cost + of.racquets * slot + at] = cells[of.jobs + JOB_COLUMNS * job + LEFT_OUT]
    else:
        end = start + cells[of.minutes + of.stringers * job + stringer]
        cells[of.trial_start + of.racquets * slot + at] = start
        cells[of.trial_end + of.racquets * slot + at] = end
        cells[of.trial_cost + of.racquets * slot + at] = job_cost(cells, of, job, stringer, machine, end)
    return start


@compiled
def _touches(cells, of, slot):  # type: ignore[no-untyped-def]
    """Whether anything in the decoded slot is at a machine that others use."""
    stringer = cells[of.slots + SLOT_COLUMNS * slot + OWNER]
    for i in range(cells[of.slots + SLOT_COLUMNS * slot + COUNT]):
        machine = cells[of.machine + cells[of.trial_job + of.racquets * slot + i]]
        if cells[of.guest_count + machine] > 0 or cells[of.host + machine] != stringer:
            return 1
    return 0


@compiled
def _decode_unplaced(cells, of, slot):  # type: ignore[no-untyped-def]
    delta = 0
    s = of.slots + SLOT_COLUMNS * slot
    for i in range(cells[s + FIRST], cells[s + LAST]):
        delta -= cells[of.place + PLACE_COLUMNS * cells[of.order + of.racquets * cells[s + OWNER] + i] + COST]
    for i in range(cells[s + FRESH]):
        cells[of.trial_start + of.racquets * slot + i] = 0
        cells[of.trial_end + of.racquets * slot + i] = 0
        cells[of.trial_cost + of.racquets * slot + i] = cells[
            of.jobs + JOB_COLUMNS * cells[of.trial_job + of.racquets * slot + i] + LEFT_OUT
        ]
        delta += cells[of.trial_cost + of.racquets * slot + i]
    cells[s + COUNT] = cells[s + FRESH]
    cells[s + RESUME] = cells[s + LAST]
    cells[s + DONE] = 1
    return delta


@compiled
def decode(cells, of, slot, limit, to_the_end):  # type: ignore[no-untyped-def]
    """Decode a slot; return the points added, or HUGE as soon as they must exceed ``limit``."""
    s = of.slots + SLOT_COLUMNS * slot
    stringer = cells[s + OWNER]
    if stringer == of.stringers:
        return _decode_unplaced(cells, of, slot)
    order = of.order + of.racquets * stringer
    place = of.place
    delta = 0
    for i in range(cells[s + FIRST], cells[s + LAST]):
        delta -= cells[place + PLACE_COLUMNS * cells[order + i] + COST]
    time = cells[place + PLACE_COLUMNS * cells[order + (cells[s + FIRST] - 1)] + END] if cells[s + FIRST] > 0 else 0
    for i in range(cells[s + FRESH]):
        _try(cells, of, slot, i, cells[of.trial_job + of.racquets * slot + i], time)
        time = cells[of.trial_end + of.racquets * slot + i]
        delta += cells[of.trial_cost + of.racquets * slot + i]
    count = cells[s + FRESH]
    resume = cells[s + LAST]
    thorough = to_the_end or cells[of.counters + TOUCHING] == 1
    while resume < cells[of.length + stringer]:
        job = cells[order + resume]
        start = _try(cells, of, slot, count, job, time)
        if (
            start == cells[place + PLACE_COLUMNS * job + START]
            and cells[place + PLACE_COLUMNS * job + END] > start
            and (not thorough)
        ):
            break
        time = cells[of.trial_end + of.racquets * slot + count]
        delta += cells[of.trial_cost + of.racquets * slot + count] - cells[place + PLACE_COLUMNS * job + COST]
        count += 1
        resume += 1
        if delta > limit and time >= cells[place + PLACE_COLUMNS * job + END]:
            return HUGE
    cells[s + COUNT] = count
    cells[s + RESUME] = resume
    cells[s + DONE] = 1
    if cells[of.counters + TOUCHING] == 0:
        cells[of.counters + TOUCHING] = _touches(cells, of, slot)
    return delta
