"""Moves of one or two jobs.  Each puts a move on trial and says whether there is one."""

from solver.search.compiled import compiled
from solver.search.decode import first_ending_after
from solver.search.draw import draw
from solver.search.layout import (
    CHANGE_COLUMNS,
    FRESH,
    JOB_COLUMNS,
    MACHINE,
    MACHINES,
    PLACE_COLUMNS,
    PLAYER,
    POSITION,
    SLOT_COLUMNS,
    START,
    STRINGER,
)
from solver.search.trial import choose_known_stringer, choose_machine, choose_position, hand_over, open_slot, set_up


@compiled
def _other_position(cells, of, position, length):  # type: ignore[no-untyped-def]
    """Another position, mostly close by."""
    reach = 3 if draw(cells, of, 2) == 0 else 10
    if draw(cells, of, 16) == 0:
        return draw(cells, of, length)
    step = 1 + draw(cells, of, reach)
    if draw(cells, of, 2) == 0:
        step = -step
    return min(max(position + step, 0), length - 1)


@compiled
def shift(cells, of, job):  # type: ignore[no-untyped-def]
    """Move a job, or up to three in a row, to another place in its stringer's order."""
    stringer = cells[of.place + PLACE_COLUMNS * job + STRINGER]
    n = cells[of.length + stringer]
    if stringer == of.stringers or n < 2:
        return False
    at = cells[of.place + PLACE_COLUMNS * job + POSITION]
    to = _other_position(cells, of, at, n)
    size = 1 if draw(cells, of, 3) > 0 else 2 + draw(cells, of, 2)
    if to == at or max(at, to) + size > n:
        return False
    first = min(at, to)
    last = max(at, to) + size
    slot = open_slot(cells, of, stringer, first, last)
    trial = of.trial_job + of.racquets * slot
    for i in range(last - first):
        cells[trial + i] = cells[of.order + of.racquets * stringer + (first + i)]
    if to > at:
        for i in range(to - at):
            cells[trial + i] = cells[of.order + of.racquets * stringer + (at + size + i)]
        for i in range(size):
            cells[trial + (to - at + i)] = cells[of.order + of.racquets * stringer + (at + i)]
    else:
        for i in range(size):
            cells[trial + i] = cells[of.order + of.racquets * stringer + (at + i)]
        for i in range(at - to):
            cells[trial + (size + i)] = cells[of.order + of.racquets * stringer + (to + i)]
    cells[of.slots + SLOT_COLUMNS * slot + FRESH] = last - first
    return True


@compiled
def swap_within(cells, of, job):  # type: ignore[no-untyped-def]
    """Exchange two jobs of one stringer."""
    stringer = cells[of.place + PLACE_COLUMNS * job + STRINGER]
    n = cells[of.length + stringer]
    if stringer == of.stringers or n < 2:
        return False
    at = cells[of.place + PLACE_COLUMNS * job + POSITION]
    to = _other_position(cells, of, at, n)
    if to == at:
        return False
    first = min(at, to)
    last = max(at, to) + 1
    slot = open_slot(cells, of, stringer, first, last)
    for i in range(last - first):
        cells[of.trial_job + of.racquets * slot + i] = cells[of.order + of.racquets * stringer + (first + i)]
    cells[of.trial_job + of.racquets * slot + 0] = cells[of.order + of.racquets * stringer + (last - 1)]
    cells[of.trial_job + of.racquets * slot + (last - first - 1)] = cells[of.order + of.racquets * stringer + first]
    cells[of.slots + SLOT_COLUMNS * slot + FRESH] = last - first
    return True


@compiled
def relocate(cells, of, job):  # type: ignore[no-untyped-def]
    """Give a job to another stringer."""
    stringer = choose_known_stringer(cells, of, job)
    if stringer == cells[of.place + PLACE_COLUMNS * job + STRINGER]:
        return False
    hand_over(cells, of, job, stringer, choose_position(cells, of, job, stringer))
    return set_up(cells, of)


@compiled
def leave_out(cells, of, job):  # type: ignore[no-untyped-def]
    """Take a job out of the plan."""
    nobody = of.stringers
    if cells[of.place + PLACE_COLUMNS * job + STRINGER] == nobody:
        return False
    hand_over(cells, of, job, nobody, cells[of.length + nobody])
    return set_up(cells, of)


@compiled
def _partner(cells, of, other, at, mine):  # type: ignore[no-untyped-def]
    """A job of ``other`` from a position on whose player knows ``mine``, or the one there."""
    first = cells[of.order + of.racquets * other + at]
    if mine == of.stringers:
        return first
    for i in range(at, min(at + 4, cells[of.length + other])):
        job = cells[of.order + of.racquets * other + i]
        player = cells[of.jobs + JOB_COLUMNS * job + PLAYER]
        if cells[of.stringer_use + of.stringers * player + mine] > 0:
            return job
    return first


@compiled
def exchange(cells, of, job):  # type: ignore[no-untyped-def]
    """Exchange a job for one that another stringer has at about the same time."""
    mine = cells[of.place + PLACE_COLUMNS * job + STRINGER]
    other = choose_known_stringer(cells, of, job)
    if draw(cells, of, 64) == 0:
        other = of.stringers
    n = cells[of.length + other]
    if other == mine or n == 0:
        return False
    if max(mine, other) == of.stringers:
        at = draw(cells, of, n)
    else:
        at = (
            first_ending_after(cells, of, other, cells[of.place + PLACE_COLUMNS * job + START]) + draw(cells, of, 5) - 2
        )
    at = min(max(at, 0), n - 1)
    partner = _partner(cells, of, other, at, mine)
    if cells[of.is_owned + partner] == 0:
        return False
    at = cells[of.place + PLACE_COLUMNS * partner + POSITION]
    if mine < of.stringers and cells[of.minutes + of.stringers * partner + mine] == 0:
        return False
    if other < of.stringers and cells[of.minutes + of.stringers * job + other] == 0:
        return False
    there = at
    back = cells[of.place + PLACE_COLUMNS * job + POSITION]
    if draw(cells, of, 2) == 0:
        there = choose_position(cells, of, job, other)
        back = choose_position(cells, of, partner, mine)
    hand_over(cells, of, job, other, there)
    hand_over(cells, of, partner, mine, back)
    return set_up(cells, of)


@compiled
def change_machine(cells, of, job):  # type: ignore[no-untyped-def]
    """String a job elsewhere, at the same place of the order or another."""
    stringer = cells[of.place + PLACE_COLUMNS * job + STRINGER]
    if stringer == of.stringers or cells[of.jobs + JOB_COLUMNS * job + MACHINES] < 2:
        return False
    machine = cells[of.where + of.machines * job + draw(cells, of, cells[of.jobs + JOB_COLUMNS * job + MACHINES])]
    if draw(cells, of, 2) == 0:
        machine = choose_machine(cells, of, job, stringer)
    if machine == cells[of.place + PLACE_COLUMNS * job + MACHINE]:
        return False
    at = cells[of.place + PLACE_COLUMNS * job + POSITION]
    to = at if draw(cells, of, 2) == 0 else choose_position(cells, of, job, stringer)
    hand_over(cells, of, job, stringer, to)
    cells[of.changed + CHANGE_COLUMNS * 0 + 4] = machine
    return set_up(cells, of)


@compiled
def redo(cells, of, job):  # type: ignore[no-untyped-def]
    """Decode a stringer anew from a job on: a shared machine may have become free."""
    stringer = cells[of.place + PLACE_COLUMNS * job + STRINGER]
    if stringer == of.stringers:
        return False
    at = cells[of.place + PLACE_COLUMNS * job + POSITION]
    slot = open_slot(cells, of, stringer, at, at)
    cells[of.slots + SLOT_COLUMNS * slot + FRESH] = 0
    return True
