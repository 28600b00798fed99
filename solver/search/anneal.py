"""Simulated annealing over the moves (Kirkpatrick, Gelatt, Vecchi 1983, Science 220:671)."""

from solver.search.commit import clear_trial, keep_best, take_back, take_over
from solver.search.compiled import compiled
from solver.search.continuity import count_changes
from solver.search.decode import decode
from solver.search.draw import draw
from solver.search.groups import exchange_stretches, gather, trade_players
from solver.search.layout import (
    ACCEPTED,
    BEST,
    CHANGE_COLUMNS,
    CHANGED,
    HUGE,
    JOB,
    SAMPLES,
    SLOTS_USED,
    THRESHOLD_UNIT,
    THRESHOLDS,
    TOTAL,
    UNSAVED,
)
from solver.search.moves import change_machine, exchange, leave_out, redo, relocate, shift, swap_within


@compiled
def propose(cells, of):  # type: ignore[no-untyped-def]
    """Put a random move on trial; the number of its kind, or -1 when it came to nothing."""
    job = draw(cells, of, of.racquets)
    pick = draw(cells, of, cells[of.mix + 9])
    kind = 0
    while pick >= cells[of.mix + kind]:
        kind += 1
    if kind == 0:
        found = shift(cells, of, job)
    elif kind == 1:
        found = swap_within(cells, of, job)
    elif kind == 2:
        found = relocate(cells, of, job)
    elif kind == 3:
        found = exchange(cells, of, job)
    elif kind == 4:
        found = exchange_stretches(cells, of, job)
    elif kind == 5:
        found = gather(cells, of, job)
    elif kind == 6:
        found = trade_players(cells, of, job)
    elif kind == 7:
        found = change_machine(cells, of, job)
    elif kind == 8:
        found = redo(cells, of, job)
    else:
        found = leave_out(cells, of, job)
    if not found:
        for i in range(cells[of.counters + CHANGED]):
            cells[of.flag + cells[of.changed + CHANGE_COLUMNS * i + JOB]] = 0
        clear_trial(cells, of)
        return -1
    return kind


@compiled
def save_best(cells, of):  # type: ignore[no-untyped-def]
    """Keep the present plan if it is the best so far."""
    if cells[of.counters + UNSAVED] == 1:
        keep_best(cells, of)
        cells[of.counters + UNSAVED] = 0


@compiled
def settle(cells, of, kind, limit):  # type: ignore[no-untyped-def]
    """Decode the move on trial; take it over if it adds at most ``limit`` points."""
    delta = count_changes(cells, of)
    slots = cells[of.counters + SLOTS_USED]
    for slot in range(slots):
        allowed = limit - delta if slot == slots - 1 else HUGE
        delta += decode(cells, of, slot, allowed, kind == 8)
    if delta > limit:
        take_back(cells, of)
        return
    if delta > 0:
        save_best(cells, of)
    take_over(cells, of, delta)
    cells[of.counters + ACCEPTED] += 1
    if cells[of.counters + TOTAL] < cells[of.counters + BEST]:
        cells[of.counters + BEST] = cells[of.counters + TOTAL]
        cells[of.counters + UNSAVED] = 1


@compiled
def anneal(cells, of, steps, hot, cold):  # type: ignore[no-untyped-def]
    """Try ``steps`` moves while the temperature falls from ``hot`` to ``cold`` points.

    ``thresholds`` holds a sample of -ln u, u uniform on (0, 1): the accepted rise at temperature 1.
    """
    temperature = hot
    factor = (cold / hot) ** (64.0 / max(steps, 64))
    for step in range(steps):
        if step & 63 == 63:
            temperature *= factor
        kind = propose(cells, of)
        if kind >= 0:
            limit = int(temperature * cells[of.thresholds + draw(cells, of, THRESHOLDS)] / THRESHOLD_UNIT)
            settle(cells, of, kind, limit)
    save_best(cells, of)


@compiled
def sample(cells, of):  # type: ignore[no-untyped-def]
    """Note the points that random moves would add to the present plan; 0 where there is no move."""
    for i in range(SAMPLES):
        cells[of.samples + i] = 0
        kind = propose(cells, of)
        if kind >= 0:
            delta = count_changes(cells, of)
            for slot in range(cells[of.counters + SLOTS_USED]):
                delta += decode(cells, of, slot, HUGE, kind == 8)
            cells[of.samples + i] = delta
            take_back(cells, of)
