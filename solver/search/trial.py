"""Putting a move on trial: which jobs change hands, and which stretches of which orders that touches."""

from solver.search.compiled import compiled
from solver.search.decode import first_ending_after
from solver.search.draw import draw
from solver.search.layout import (
    CHANGE_COLUMNS,
    CHANGED,
    DONE,
    DUE,
    END,
    FIRST,
    FRESH,
    FROM_MACHINE,
    FROM_STRINGER,
    JOB,
    JOB_COLUMNS,
    LAST,
    MACHINE,
    MACHINES,
    MAX_SLOTS,
    OWNER,
    PLACE_COLUMNS,
    PLAYER,
    POSITION,
    PROMISED,
    READY,
    SLOT_COLUMNS,
    SLOTS_USED,
    START,
    STRINGER,
    STRINGERS,
    TO_MACHINE,
    TO_POSITION,
    TO_STRINGER,
)


@compiled
def open_slot(cells, of, stringer, first, last):  # type: ignore[no-untyped-def]
    """The slot of a stringer, widened to hold ``[first, last)``; -1 when there are too many."""
    slot = cells[of.slot_of + stringer]
    if slot >= 0:
        s = of.slots + SLOT_COLUMNS * slot
        cells[s + FIRST] = min(cells[s + FIRST], first)
        cells[s + LAST] = max(cells[s + LAST], last)
        return slot
    slot = cells[of.counters + SLOTS_USED]
    if slot == MAX_SLOTS:
        return -1
    cells[of.counters + SLOTS_USED] = slot + 1
    cells[of.slot_of + stringer] = slot
    s = of.slots + SLOT_COLUMNS * slot
    cells[s + OWNER] = stringer
    cells[s + FIRST] = first
    cells[s + LAST] = last
    cells[s + FRESH] = 0
    cells[s + DONE] = 0
    return slot


@compiled
def choose_machine(cells, of, job, stringer):  # type: ignore[no-untyped-def]
    """A machine for a job with a stringer: mostly the bench; -1 for the unplaced."""
    if stringer == of.stringers:
        return -1
    bench = cells[of.bench + stringer]
    if bench >= 0 and cells[of.allowed + of.machines * job + bench] == 1 and (draw(cells, of, 32) > 0):
        return bench
    n = cells[of.jobs + JOB_COLUMNS * job + MACHINES]
    machine = cells[of.where + of.machines * job + draw(cells, of, n)]
    if cells[of.away + of.machines * stringer + machine] == 0 or draw(cells, of, 2) == 0:
        return machine
    player = cells[of.jobs + JOB_COLUMNS * job + PLAYER]
    for _ in range(3):
        other = cells[of.where + of.machines * job + draw(cells, of, n)]
        if cells[of.machine_use + of.machines * player + other] > 0:
            return other
    return machine


@compiled
def choose_stringer(cells, of, job):  # type: ignore[no-untyped-def]
    """Any stringer who may take the job."""
    k = draw(cells, of, cells[of.jobs + JOB_COLUMNS * job + STRINGERS])
    return cells[of.may + of.stringers * job + k]


@compiled
def choose_known_stringer(cells, of, job):  # type: ignore[no-untyped-def]
    """Mostly a stringer who knows the player already; anyone rather more often when the job is late."""
    n = cells[of.jobs + JOB_COLUMNS * job + STRINGERS]
    k = draw(cells, of, n)
    fields = of.jobs + JOB_COLUMNS * job
    end = cells[of.place + PLACE_COLUMNS * job + END]
    late = end > cells[fields + DUE] or end > cells[fields + PROMISED]
    if draw(cells, of, 2 if late else 8) > 0:
        player = cells[fields + PLAYER]
        present = cells[of.place + PLACE_COLUMNS * job + STRINGER]
        for _ in range(n):
            stringer = cells[of.may + of.stringers * job + k]
            if stringer != present and cells[of.stringer_use + of.stringers * player + stringer] > 0:
                return stringer
            k = k + 1 if k + 1 < n else 0
    return cells[of.may + of.stringers * job + k]


@compiled
def choose_position(cells, of, job, stringer):  # type: ignore[no-untyped-def]
    """A place in a stringer's order where the job makes sense by its times."""
    n = cells[of.length + stringer]
    if stringer == of.stringers:
        return n
    ready = cells[of.jobs + JOB_COLUMNS * job + READY]
    low = first_ending_after(cells, of, stringer, ready)
    kind = draw(cells, of, 8)
    if kind < 4:
        at = (
            first_ending_after(cells, of, stringer, cells[of.place + PLACE_COLUMNS * job + START])
            + draw(cells, of, 3)
            - 1
        )
    elif kind < 7:
        span = min(max(cells[of.jobs + JOB_COLUMNS * job + DUE] - ready, 1), 1440)
        at = first_ending_after(cells, of, stringer, ready + draw(cells, of, span)) + draw(cells, of, 2)
    else:
        at = low + draw(cells, of, n - low + 1)
    return min(max(at, low), n)


@compiled
def note_change(cells, of, job, stringer, machine, position):  # type: ignore[no-untyped-def]
    """Note that a job goes to a stringer and machine, at a position of the present order."""
    at = cells[of.counters + CHANGED]
    cells[of.counters + CHANGED] = at + 1
    cells[of.flag + job] = 1
    while at > 0 and cells[of.changed + CHANGE_COLUMNS * (at - 1) + TO_POSITION] > position:
        for column in range(CHANGE_COLUMNS):
            cells[of.changed + CHANGE_COLUMNS * at + column] = cells[of.changed + CHANGE_COLUMNS * (at - 1) + column]
        at -= 1
    c = of.changed + CHANGE_COLUMNS * at
    cells[c + JOB] = job
    cells[c + FROM_STRINGER] = cells[of.place + PLACE_COLUMNS * job + STRINGER]
    cells[c + FROM_MACHINE] = cells[of.place + PLACE_COLUMNS * job + MACHINE]
    cells[c + TO_STRINGER] = stringer
    cells[c + TO_MACHINE] = machine
    cells[c + TO_POSITION] = position


@compiled
def hand_over(cells, of, job, stringer, position):  # type: ignore[no-untyped-def]
    """Note that a job goes to a stringer, at a position of the present order."""
    note_change(cells, of, job, stringer, choose_machine(cells, of, job, stringer), position)


@compiled
def _fill(cells, of, slot):  # type: ignore[no-untyped-def]
    s = of.slots + SLOT_COLUMNS * slot
    changes = cells[of.counters + CHANGED]
    n = 0
    k = 0
    for i in range(cells[s + FIRST], cells[s + LAST] + 1):
        while k < changes and cells[of.changed + CHANGE_COLUMNS * k + TO_POSITION] <= i:
            if cells[of.changed + CHANGE_COLUMNS * k + TO_STRINGER] == cells[s + OWNER]:
                cells[of.trial_job + of.racquets * slot + n] = cells[of.changed + CHANGE_COLUMNS * k + JOB]
                n += 1
            k += 1
        if i < cells[s + LAST]:
            job = cells[of.order + of.racquets * cells[s + OWNER] + i]
            if cells[of.flag + job] == 0:
                cells[of.trial_job + of.racquets * slot + n] = job
                n += 1
    cells[s + FRESH] = n


@compiled
def set_up(cells, of):  # type: ignore[no-untyped-def]
    """Open and fill the slots for the noted changes; False when they are too many."""
    possible = True
    changes = cells[of.counters + CHANGED]
    for i in range(changes):
        job = cells[of.changed + CHANGE_COLUMNS * i + JOB]
        at = cells[of.place + PLACE_COLUMNS * job + POSITION]
        if open_slot(cells, of, cells[of.changed + CHANGE_COLUMNS * i + FROM_STRINGER], at, at + 1) < 0:
            possible = False
    for i in range(changes):
        at = cells[of.changed + CHANGE_COLUMNS * i + TO_POSITION]
        if open_slot(cells, of, cells[of.changed + CHANGE_COLUMNS * i + TO_STRINGER], at, at) < 0:
            possible = False
    if possible:
        for slot in range(cells[of.counters + SLOTS_USED]):
            _fill(cells, of, slot)
        for i in range(changes):
            cells[of.machine + cells[of.changed + CHANGE_COLUMNS * i + JOB]] = cells[
                of.changed + CHANGE_COLUMNS * i + TO_MACHINE
            ]
    for i in range(changes):
        cells[of.flag + cells[of.changed + CHANGE_COLUMNS * i + JOB]] = 0
    return possible
