"""Simulated annealing over the moves (Kirkpatrick, Gelatt, Vecchi 1983, Science 220:671)."""

from solver.search.kernels.commit import clear_trial, count_changes, keep_best, take_back, take_over
from solver.search.kernels.decode import decode
from solver.search.kernels.estimate import estimate
from solver.search.kernels.groups import exchange_stretches, gather, trade_players
from solver.search.kernels.layout import HUGE, MOVE_KINDS, THRESHOLD_UNIT, THRESHOLDS, Search
from solver.search.kernels.memory import inlined
from solver.search.kernels.moves import change_machine, exchange, leave_out, move_within, redo, relocate
from solver.search.kernels.trial import draw, flip, set_up

REDO = 9
_DOUBT = 3
"""Temperatures by which what a move is estimated to add may exceed its limit."""


@inlined
def propose(s: Search, kind: int, job: int) -> bool:
    """Put a move of a kind on trial; False when it came to nothing."""
    if kind < 2:
        found = move_within(s, job, kind == 1)
    elif kind == 2:
        found = relocate(s, job)
    elif kind == 3:
        found = exchange(s, job)
    elif kind == 4:
        found = change_machine(s, job)
    elif kind == 5:
        found = leave_out(s, job)
    elif kind == 6:
        found = exchange_stretches(s, job)
    elif kind == 7:
        found = gather(s, job)
    elif kind == 8:
        found = trade_players(s, job)
    else:
        found = redo(s, job)
    if found and s.change_count > 0:
        found = set_up(s)
    if found and s.jobs[job].fresh_from > s.jobs[job].ready and (kind == REDO or (kind <= 2 and draw(s, 4) == 0)):
        flip(s, job)
    return found


@inlined
def _draw_kind(s: Search) -> int:
    """A kind of move by the odds of the mix."""
    pick = draw(s, s.mix[MOVE_KINDS - 1])
    kind = 0
    while pick >= s.mix[kind]:
        kind += 1
    return kind


@inlined
def _is_hopeless(s: Search, delta: int, limit: int) -> bool:
    """Whether a move that hands jobs over is estimated to add more than ``limit``, with ``delta`` for continuity."""
    if s.change_count == 0:
        return False
    for number in range(s.slot_count):
        delta += estimate(s, number)
    return delta > limit


@inlined
def _settle(s: Search, kind: int, limit: int, doubt: int) -> int:
    """Decode the move on trial; take it over if it adds at most ``limit`` points.

    Gives what it adds, HUGE where an estimate is above the limit by more than ``doubt``.
    With `HUGE` for a limit it is taken back all the same.
    """
    delta = count_changes(s, False)
    if limit < HUGE and _is_hopeless(s, delta, limit + doubt):
        take_back(s)
        return HUGE
    for number in range(s.slot_count):
        allowed = limit - delta if number == s.slot_count - 1 else HUGE
        delta += decode(s, number, allowed, kind == REDO)
    if delta > limit or limit == HUGE:
        take_back(s)
        return delta
    if delta > 0 and s.has_unsaved_best == 1:
        keep_best(s)
    take_over(s, delta)
    if s.total < s.best_total:
        s.best_total = s.total
        s.has_unsaved_best = 1
    return delta


@inlined
def anneal(s: Search, steps: int, hot: float, cold: float, samples: bool) -> None:
    """Try ``steps`` moves while the temperature falls from ``hot`` to ``cold`` points.

    Or only note what so many moves would add to the present plan, 0 where there is no move.
    """
    if s.owned_count == 0:
        return
    temperature = hot
    factor = (cold / hot) ** (64.0 / max(steps, 64))
    for step in range(steps):
        if step & 63 == 63:
            temperature *= factor
        limit = int(temperature * s.thresholds[draw(s, THRESHOLDS)] / THRESHOLD_UNIT)
        kind = _draw_kind(s)
        job = s.owned[draw(s, s.owned_count)]
        added = 0
        if propose(s, kind, job):
            added = _settle(s, kind, HUGE if samples else limit, int(_DOUBT * temperature))
        clear_trial(s)
        if samples:
            s.samples[step] = added
    if s.has_unsaved_best == 1:
        keep_best(s)
