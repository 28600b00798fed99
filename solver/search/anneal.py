"""Simulated annealing over the moves (Kirkpatrick, Gelatt, Vecchi 1983, Science 220:671)."""

from solver.search.commit import clear_trial, save_best, take_back, take_over
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
    MOVE_KINDS,
    OWNED,
    REDO,
    SAMPLES,
    SLOTS_USED,
    THRESHOLD_UNIT,
    THRESHOLDS,
    TOTAL,
    UNSAVED,
)
from solver.search.moves import change_machine, exchange, leave_out, redo, relocate, shift, swap_within


@compiled
def _put_on_trial(cells, of, kind, job):  # type: ignore[no-untyped-def]
    if kind == 0:
        return shift(cells, of, job)
    if kind == 1:
        return swap_within(cells, of, job)
    if kind == 2:
        return relocate(cells, of, job)
    if kind == 3:
        return exchange(cells, of, job)
    return change_machine(cells, of, job) if kind == 4 else leave_out(cells, of, job)


@compiled
def _put_group_on_trial(cells, of, kind, job):  # type: ignore[no-untyped-def]
    if kind == 6:
        return exchange_stretches(cells, of, job)
    if kind == 7:
        return gather(cells, of, job)
    return trade_players(cells, of, job) if kind == 8 else redo(cells, of, job)


@compiled
def draw_kind(cells, of):  # type: ignore[no-untyped-def]
    """A kind of move by the odds of the mix."""
    pick = draw(cells, of, cells[of.mix + MOVE_KINDS - 1])
    kind = 0
    while pick >= cells[of.mix + kind]:
        kind += 1
    return kind


@compiled
def draw_job(cells, of):  # type: ignore[no-untyped-def]
    """Any racquet that moves may touch."""
    return cells[of.owned + draw(cells, of, cells[of.counters + OWNED])]


@compiled
def propose(cells, of, kind, job):  # type: ignore[no-untyped-def]
    """Put a move of a kind on trial; False when it came to nothing."""
    found = _put_on_trial(cells, of, kind, job) if kind < 6 else _put_group_on_trial(cells, of, kind, job)
    if not found:
        for i in range(cells[of.counters + CHANGED]):
            cells[of.flag + cells[of.changed + CHANGE_COLUMNS * i + JOB]] = 0
        clear_trial(cells, of)
    return found


@compiled
def _note_best(cells, of):  # type: ignore[no-untyped-def]
    cells[of.counters + ACCEPTED] += 1
    if cells[of.counters + TOTAL] < cells[of.counters + BEST]:
        cells[of.counters + BEST] = cells[of.counters + TOTAL]
        cells[of.counters + UNSAVED] = 1


@compiled
def settle(cells, of, kind, limit):  # type: ignore[no-untyped-def]
    """Decode the move on trial; take it over if it adds at most ``limit`` points."""
    delta = count_changes(cells, of)
    slots = cells[of.counters + SLOTS_USED]
    for slot in range(slots):
        allowed = limit - delta if slot == slots - 1 else HUGE
        delta += decode(cells, of, slot, allowed, kind == REDO)
    if delta > limit:
        take_back(cells, of)
        return
    if delta > 0:
        save_best(cells, of)
    take_over(cells, of, delta)
    _note_best(cells, of)


@compiled
def anneal(cells, of, steps, hot, cold):  # type: ignore[no-untyped-def]
    """Try ``steps`` moves while the temperature falls from ``hot`` to ``cold`` points."""
    if cells[of.counters + OWNED] == 0:
        return
    temperature = hot
    factor = (cold / hot) ** (64.0 / max(steps, 64))
    for step in range(steps):
        if step & 63 == 63:
            temperature *= factor
        limit = int(temperature * cells[of.thresholds + draw(cells, of, THRESHOLDS)] / THRESHOLD_UNIT)
        kind = draw_kind(cells, of)
        job = draw_job(cells, of)
        if propose(cells, of, kind, job):
            settle(cells, of, kind, limit)
    save_best(cells, of)


@compiled
def sample(cells, of):  # type: ignore[no-untyped-def]
    """Note the points that random moves would add to the present plan; 0 where there is no move."""
    for i in range(SAMPLES):
        cells[of.samples + i] = 0
        kind = draw_kind(cells, of)
        if propose(cells, of, kind, draw_job(cells, of)):
            delta = count_changes(cells, of)
            for slot in range(cells[of.counters + SLOTS_USED]):
                delta += decode(cells, of, slot, HUGE, kind == REDO)
            cells[of.samples + i] = delta
            take_back(cells, of)
