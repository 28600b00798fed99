"""Where an unplaced job would cost least."""

from solver.search.commit import clear_trial
from solver.search.compiled import compiled
from solver.search.continuity import recount
from solver.search.decode import decode, first_ending_after, job_cost
from solver.search.draw import draw
from solver.search.layout import (
    END,
    FOUND_COST,
    FOUND_MACHINE,
    FOUND_POSITION,
    FOUND_STRINGER,
    FRESH,
    JOB_COLUMNS,
    LEFT_OUT,
    PLACE_COLUMNS,
    PLAYER,
    READY,
    STRINGERS,
)
from solver.search.trial import choose_machine, open_slot

_FEW = 6


@compiled
def _insertion_cost(cells, of, job, stringer, position, limit):  # type: ignore[no-untyped-def]
    slot = open_slot(cells, of, stringer, position, position)
    cells[of.trial_job + of.racquets * slot] = job
    cells[of.slots + FRESH] = 1
    delta = decode(cells, of, slot, limit, False)
    clear_trial(cells, of)
    return delta


@compiled
def _try_stringer(cells, of, job, stringer):  # type: ignore[no-untyped-def]
    """Note the best position with a stringer if it beats what was found before."""
    machine = choose_machine(cells, of, job, stringer)
    cells[of.machine + job] = machine
    added = recount(cells, of, job, of.stringers, -1, stringer, machine)
    recount(cells, of, job, stringer, machine, of.stringers, -1)
    ready = cells[of.jobs + JOB_COLUMNS * job + READY]
    order = of.order + of.racquets * stringer
    minutes = cells[of.minutes + of.stringers * job + stringer]
    for position in range(first_ending_after(cells, of, stringer, ready), cells[of.length + stringer] + 1):
        time = ready
        if position > 0:
            time = max(time, cells[of.place + PLACE_COLUMNS * cells[order + position - 1] + END])
        best = cells[of.found + FOUND_COST]
        if added + job_cost(cells, of, job, stringer, machine, time + minutes) >= best:
            return
        if draw(cells, of, 50) == 0:
            continue
        cost = added + _insertion_cost(cells, of, job, stringer, position, best - added)
        if cost < best:
            cells[of.found + FOUND_COST] = cost
            cells[of.found + FOUND_STRINGER] = stringer
            cells[of.found + FOUND_MACHINE] = machine
            cells[of.found + FOUND_POSITION] = position


@compiled
def best_insertion(cells, of, job):  # type: ignore[no-untyped-def]
    """Look for the best place with those who know the player, who were touched, and some others."""
    player = cells[of.jobs + JOB_COLUMNS * job + PLAYER]
    left_out = cells[of.jobs + JOB_COLUMNS * job + LEFT_OUT]
    cells[of.found + FOUND_COST] = left_out
    for k in range(cells[of.jobs + JOB_COLUMNS * job + STRINGERS]):
        stringer = cells[of.may + of.stringers * job + k]
        known = cells[of.stringer_use + of.stringers * player + stringer] > 0
        if known or cells[of.kept + stringer] == 1 or of.stringers <= _FEW or draw(cells, of, 8) == 0:
            _try_stringer(cells, of, job, stringer)
    cells[of.machine + job] = -1
    return cells[of.found + FOUND_COST] < left_out
