"""Taking a tried move over into the plan, or taking it back."""

from solver.search.compiled import compiled
from solver.search.continuity import uncount_changes
from solver.search.layout import (
    CHANGE_COLUMNS,
    CHANGED,
    COST,
    COUNT,
    END,
    FIRST,
    FROM_MACHINE,
    FROM_STRINGER,
    GUEST,
    JOB,
    MACHINE,
    OWNER,
    PLACE_COLUMNS,
    POSITION,
    RESUME,
    SLOT_COLUMNS,
    SLOTS_USED,
    START,
    STRINGER,
    TO_MACHINE,
    TO_STRINGER,
    TOTAL,
    TOUCHING,
    UNSAVED,
)


@compiled
def leave_machine(cells, of, job, stringer, machine):  # type: ignore[no-untyped-def]
    """Strike a job off the guests of a machine, if it is one."""
    if machine < 0 or cells[of.host + machine] == stringer:
        return
    at = cells[of.place + PLACE_COLUMNS * job + GUEST]
    cells[of.guest_count + machine] -= 1
    last = cells[of.guests + of.racquets * machine + cells[of.guest_count + machine]]
    cells[of.guests + of.racquets * machine + at] = last
    cells[of.place + PLACE_COLUMNS * last + GUEST] = at


@compiled
def join_machine(cells, of, job, stringer, machine):  # type: ignore[no-untyped-def]
    """Enter a job among the guests of a machine, unless its stringer is the host."""
    if machine < 0 or cells[of.host + machine] == stringer:
        return
    at = cells[of.guest_count + machine]
    cells[of.guests + of.racquets * machine + at] = job
    cells[of.place + PLACE_COLUMNS * job + GUEST] = at
    cells[of.guest_count + machine] = at + 1


@compiled
def _take_over_slot(cells, of, slot):  # type: ignore[no-untyped-def]
    s = of.slots + SLOT_COLUMNS * slot
    stringer = cells[s + OWNER]
    order = of.order + of.racquets * stringer
    length = cells[of.length + stringer]
    shift = cells[s + FIRST] + cells[s + COUNT] - cells[s + RESUME]
    if shift > 0:
        for i in range(length - 1, cells[s + RESUME] - 1, -1):
            cells[order + (i + shift)] = cells[order + i]
            cells[of.place + PLACE_COLUMNS * cells[order + i] + POSITION] = i + shift
    elif shift < 0:
        for i in range(cells[s + RESUME], length):
            cells[order + (i + shift)] = cells[order + i]
            cells[of.place + PLACE_COLUMNS * cells[order + i] + POSITION] = i + shift
    cells[of.length + stringer] = length + shift
    for i in range(cells[s + COUNT]):
        job = cells[of.trial_job + of.racquets * slot + i]
        cells[order + (cells[s + FIRST] + i)] = job
        place = of.place + PLACE_COLUMNS * job
        cells[place + STRINGER] = stringer
        cells[place + POSITION] = cells[s + FIRST] + i
        cells[place + START] = cells[of.trial_start + of.racquets * slot + i]
        cells[place + END] = cells[of.trial_end + of.racquets * slot + i]
        cells[place + COST] = cells[of.trial_cost + of.racquets * slot + i]


@compiled
def clear_trial(cells, of):  # type: ignore[no-untyped-def]
    """Forget the move on trial."""
    for slot in range(cells[of.counters + SLOTS_USED]):
        cells[of.slot_of + cells[of.slots + SLOT_COLUMNS * slot + OWNER]] = -1
    cells[of.counters + SLOTS_USED] = 0
    cells[of.counters + CHANGED] = 0
    cells[of.counters + TOUCHING] = 0


@compiled
def take_over(cells, of, delta):  # type: ignore[no-untyped-def]
    """Make the decoded move part of the plan."""
    for i in range(cells[of.counters + CHANGED]):
        c = of.changed + CHANGE_COLUMNS * i
        leave_machine(cells, of, cells[c + JOB], cells[c + FROM_STRINGER], cells[c + FROM_MACHINE])
    for slot in range(cells[of.counters + SLOTS_USED]):
        _take_over_slot(cells, of, slot)
    for i in range(cells[of.counters + CHANGED]):
        c = of.changed + CHANGE_COLUMNS * i
        cells[of.place + PLACE_COLUMNS * cells[c + JOB] + MACHINE] = cells[c + TO_MACHINE]
        join_machine(cells, of, cells[c + JOB], cells[c + TO_STRINGER], cells[c + TO_MACHINE])
    cells[of.counters + TOTAL] += delta
    clear_trial(cells, of)


@compiled
def take_back(cells, of):  # type: ignore[no-untyped-def]
    """Leave the plan as it was before the move."""
    uncount_changes(cells, of)
    for i in range(cells[of.counters + CHANGED]):
        cells[of.machine + cells[of.changed + CHANGE_COLUMNS * i + JOB]] = cells[
            of.changed + CHANGE_COLUMNS * i + FROM_MACHINE
        ]
    clear_trial(cells, of)


@compiled
def keep_best(cells, of):  # type: ignore[no-untyped-def]
    """Copy the present places to the best ones."""
    for job in range(of.racquets):
        for column in range(PLACE_COLUMNS):
            cells[of.best + PLACE_COLUMNS * job + column] = cells[of.place + PLACE_COLUMNS * job + column]


@compiled
def save_best(cells, of):  # type: ignore[no-untyped-def]
    """Keep the present plan if it is the best so far and not kept yet."""
    if cells[of.counters + UNSAVED] == 1:
        keep_best(cells, of)
        cells[of.counters + UNSAVED] = 0
