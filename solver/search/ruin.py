"""Taking some jobs out of the plan and putting each back where it costs least.

Strings of neighbouring jobs are taken out as in Christiaens and Vanden Berghe 2020, "Slack induction
by string removals", Transportation Science 54:417.  A plan that is not accepted is put back whole.
"""

from solver.search.commit import join_machine, leave_machine, save_best, take_over
from solver.search.compiled import compiled
from solver.search.continuity import count_changes, recount
from solver.search.decode import decode, first_ending_after
from solver.search.draw import draw
from solver.search.insertion import best_insertion
from solver.search.layout import (
    COST,
    DUE,
    FOUND_MACHINE,
    FOUND_POSITION,
    FOUND_STRINGER,
    GUEST,
    HUGE,
    JOB_COLUMNS,
    MACHINE,
    PLACE_COLUMNS,
    PLAYER,
    READY,
    SAVED,
    SLOTS_USED,
    START,
    STRINGER,
    TORN,
    TOTAL,
)
from solver.search.trial import choose_stringer, note_change, set_up


@compiled
def _keep(cells, of, stringer):  # type: ignore[no-untyped-def]
    """Remember a stringer's order and times, once."""
    if cells[of.kept + stringer] == 1:
        return
    cells[of.kept + stringer] = 1
    saved = cells[of.counters + SAVED]
    cells[of.kept_list + saved] = stringer
    cells[of.counters + SAVED] = saved + 1
    n = cells[of.length + stringer]
    cells[of.kept_length + stringer] = n
    for i in range(n):
        job = cells[of.order + of.racquets * stringer + i]
        cells[of.kept_order + of.racquets * stringer + i] = job
        for column in range(GUEST):
            cells[of.kept_place + PLACE_COLUMNS * job + column] = cells[of.place + PLACE_COLUMNS * job + column]


@compiled
def _move_now(cells, of, job, stringer, machine, position):  # type: ignore[no-untyped-def]
    """Move a job without asking whether that is good."""
    _keep(cells, of, cells[of.place + PLACE_COLUMNS * job + STRINGER])
    _keep(cells, of, stringer)
    note_change(cells, of, job, stringer, machine, position)
    set_up(cells, of)
    delta = count_changes(cells, of)
    for slot in range(cells[of.counters + SLOTS_USED]):
        delta += decode(cells, of, slot, HUGE, False)
    take_over(cells, of, delta)


@compiled
def _tear(cells, of, job):  # type: ignore[no-untyped-def]
    """Take a job out of the plan."""
    torn = cells[of.counters + TORN]
    cells[of.torn + torn] = job
    cells[of.counters + TORN] = torn + 1
    if cells[of.place + PLACE_COLUMNS * job + STRINGER] < of.stringers:
        _move_now(cells, of, job, of.stringers, -1, cells[of.length + of.stringers])
    else:
        _keep(cells, of, of.stringers)


@compiled
def _tear_player(cells, of, job, everywhere):  # type: ignore[no-untyped-def]
    """Take out a player's jobs, of one stringer or of all."""
    player = cells[of.jobs + JOB_COLUMNS * job + PLAYER]
    stringer = cells[of.place + PLACE_COLUMNS * job + STRINGER]
    for i in range(cells[of.player_from + player], cells[of.player_from + player + 1]):
        other = cells[of.player_jobs + i]
        if everywhere or cells[of.place + PLACE_COLUMNS * other + STRINGER] == stringer:
            _tear(cells, of, other)


@compiled
def _tear_string(cells, of, stringer, time, most):  # type: ignore[no-untyped-def]
    """Take out some jobs in a row of a stringer, around a time."""
    n = cells[of.length + stringer]
    size = min(1 + draw(cells, of, most), n)
    if size == 0 or stringer == of.stringers:
        return
    first = first_ending_after(cells, of, stringer, time) - draw(cells, of, size)
    first = min(max(first, 0), n - size)
    for _ in range(size):
        _tear(cells, of, cells[of.order + of.racquets * stringer + first])


@compiled
def _tear_some(cells, of, job):  # type: ignore[no-untyped-def]
    """Choose what to take out: one job, one or two players' jobs, or strings of two or three stringers."""
    kind = draw(cells, of, 8)
    time = cells[of.place + PLACE_COLUMNS * job + START]
    stringer = cells[of.place + PLACE_COLUMNS * job + STRINGER]
    if kind == 0:
        _tear(cells, of, job)
    elif kind <= 3:
        other = choose_stringer(cells, of, job)
        _tear_player(cells, of, job, draw(cells, of, 2) == 0)
        if draw(cells, of, 2) == 0 and other < of.stringers and cells[of.length + other] > 0:
            at = first_ending_after(cells, of, other, time) + draw(cells, of, 5) - 2
            at = min(max(at, 0), cells[of.length + other] - 1)
            _tear_player(cells, of, cells[of.order + of.racquets * other + at], False)
    elif stringer == of.stringers:
        _tear(cells, of, job)
        _tear_string(cells, of, choose_stringer(cells, of, job), cells[of.jobs + JOB_COLUMNS * job + READY], 6)
    else:
        most = 4 if kind < 6 else 8
        _tear_string(cells, of, stringer, time, most)
        for _ in range(1 + draw(cells, of, 2)):
            _tear_string(cells, of, choose_stringer(cells, of, job), time, most)


@compiled
def _sort_torn(cells, of):  # type: ignore[no-untyped-def]
    """Put what was taken out into a random order, or by due time, ready time or bench time."""
    kind = draw(cells, of, 4)
    for i in range(cells[of.counters + TORN]):
        job = cells[of.torn + i]
        fields = of.jobs + JOB_COLUMNS * job
        if kind == 0:
            key = draw(cells, of, 1 << 20)
        elif kind == 1:
            key = cells[fields + DUE]
        elif kind == 2:
            key = cells[fields + READY]
        else:
            key = -cells[of.kept_place + PLACE_COLUMNS * job + COST]
        k = i
        while k > 0 and cells[of.torn_key + k - 1] > key:
            cells[of.torn + k] = cells[of.torn + k - 1]
            cells[of.torn_key + k] = cells[of.torn_key + k - 1]
            k -= 1
        cells[of.torn + k] = job
        cells[of.torn_key + k] = key


@compiled
def _put_back(cells, of):  # type: ignore[no-untyped-def]
    """Restore everything that was kept."""
    for i in range(cells[of.counters + TORN]):
        job = cells[of.torn + i]
        now = of.place + PLACE_COLUMNS * job
        then = of.kept_place + PLACE_COLUMNS * job
        leave_machine(cells, of, job, cells[now + STRINGER], cells[now + MACHINE])
        recount(
            cells, of, job, cells[now + STRINGER], cells[now + MACHINE], cells[then + STRINGER], cells[then + MACHINE]
        )
    for k in range(cells[of.counters + SAVED]):
        stringer = cells[of.kept_list + k]
        cells[of.length + stringer] = cells[of.kept_length + stringer]
        for i in range(cells[of.kept_length + stringer]):
            job = cells[of.kept_order + of.racquets * stringer + i]
            cells[of.order + of.racquets * stringer + i] = job
            for column in range(GUEST):
                cells[of.place + PLACE_COLUMNS * job + column] = cells[of.kept_place + PLACE_COLUMNS * job + column]
    for i in range(cells[of.counters + TORN]):
        job = cells[of.torn + i]
        then = of.kept_place + PLACE_COLUMNS * job
        cells[of.machine + job] = cells[then + MACHINE]
        join_machine(cells, of, job, cells[then + STRINGER], cells[then + MACHINE])


@compiled
def rebuild(cells, of, job, limit):  # type: ignore[no-untyped-def]
    """Take out some jobs around one and put them back; keep that if it adds at most ``limit`` points."""
    save_best(cells, of)
    before = cells[of.counters + TOTAL]
    _tear_some(cells, of, job)
    _sort_torn(cells, of)
    for i in range(cells[of.counters + TORN]):
        torn = cells[of.torn + i]
        if best_insertion(cells, of, torn):
            _move_now(
                cells,
                of,
                torn,
                cells[of.found + FOUND_STRINGER],
                cells[of.found + FOUND_MACHINE],
                cells[of.found + FOUND_POSITION],
            )
    accepted = cells[of.counters + TOTAL] - before <= limit
    if not accepted:
        _put_back(cells, of)
        cells[of.counters + TOTAL] = before
    for k in range(cells[of.counters + SAVED]):
        cells[of.kept + cells[of.kept_list + k]] = 0
    cells[of.counters + SAVED] = 0
    cells[of.counters + TORN] = 0
    return accepted
