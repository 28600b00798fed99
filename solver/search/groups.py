"""Moves of several jobs: a player's racquets together, and stretches of two stringers' work."""

from solver.search.compiled import compiled
from solver.search.decode import first_ending_after
from solver.search.draw import draw
from solver.search.layout import END, JOB_COLUMNS, PLACE_COLUMNS, PLAYER, POSITION, START, STRINGER
from solver.search.trial import choose_position, choose_stringer, hand_over, set_up

_BREAK = 180


@compiled
def _collect(cells, of, player, source, target):  # type: ignore[no-untyped-def]
    """Hand a player's jobs over to ``target``: those of ``source``, or all when it is -1."""
    moved = 0
    for i in range(cells[of.player_from + player], cells[of.player_from + (player + 1)]):
        job = cells[of.player_jobs + i]
        stringer = cells[of.place + PLACE_COLUMNS * job + STRINGER]
        if stringer == target or (source >= 0 and stringer != source):
            continue
        if cells[of.minutes + of.stringers * job + target] == 0 or cells[of.is_owned + job] == 0:
            continue
        hand_over(cells, of, job, target, choose_position(cells, of, job, target))
        moved += 1
    return moved


@compiled
def gather(cells, of, job):  # type: ignore[no-untyped-def]
    """Give a player's racquets, of one stringer or of all, to one stringer."""
    target = choose_stringer(cells, of, job)
    source = -1 if draw(cells, of, 2) == 0 else cells[of.place + PLACE_COLUMNS * job + STRINGER]
    if target == source:
        return False
    if _collect(cells, of, cells[of.jobs + JOB_COLUMNS * job + PLAYER], source, target) == 0:
        return False
    return set_up(cells, of)


@compiled
def trade_players(cells, of, job):  # type: ignore[no-untyped-def]
    """Exchange a player's racquets at one stringer for another player's at another."""
    nobody = of.stringers
    mine = cells[of.place + PLACE_COLUMNS * job + STRINGER]
    other = choose_stringer(cells, of, job)
    if mine in (nobody, other) or cells[of.length + other] == 0:
        return False
    at = first_ending_after(cells, of, other, cells[of.place + PLACE_COLUMNS * job + START]) + draw(cells, of, 5) - 2
    partner = cells[of.order + of.racquets * other + min(max(at, 0), cells[of.length + other] - 1)]
    player = cells[of.jobs + JOB_COLUMNS * job + PLAYER]
    second = cells[of.jobs + JOB_COLUMNS * partner + PLAYER]
    if player == second:
        return False
    moved = _collect(cells, of, player, mine, other)
    moved += _collect(cells, of, second, other, mine)
    return moved > 0 and set_up(cells, of)


@compiled
def _stretch_end(cells, of, stringer, at, size):  # type: ignore[no-untyped-def]
    """The end of a stretch from a position: ``size`` jobs, or to the day's end when it is -1."""
    n = cells[of.length + stringer]
    if size >= 0:
        return min(at + size, n)
    end = at
    while end < n:
        if end > at:
            gap = cells[of.place + PLACE_COLUMNS * cells[of.order + of.racquets * stringer + end] + START]
            gap -= cells[of.place + PLACE_COLUMNS * cells[of.order + of.racquets * stringer + (end - 1)] + END]
            if gap > _BREAK:
                break
        end += 1
    return end


@compiled
def _can_take(cells, of, stringer, first, last, other):  # type: ignore[no-untyped-def]
    for i in range(first, last):
        if cells[of.minutes + of.stringers * cells[of.order + of.racquets * stringer + i] + other] == 0:
            return False
    return True


@compiled
def exchange_stretches(cells, of, job):  # type: ignore[no-untyped-def]
    """Exchange two stringers' work of about the same time: some jobs, or all until the day's end."""
    nobody = of.stringers
    mine = cells[of.place + PLACE_COLUMNS * job + STRINGER]
    other = choose_stringer(cells, of, job)
    if mine in (nobody, other):
        return False
    at = cells[of.place + PLACE_COLUMNS * job + POSITION]
    there = first_ending_after(cells, of, other, cells[of.place + PLACE_COLUMNS * job + START]) + draw(cells, of, 2)
    there = min(there, cells[of.length + other])
    if draw(cells, of, 4) == 0:
        until = _stretch_end(cells, of, mine, at, -1)
        there_until = _stretch_end(cells, of, other, there, -1)
    else:
        reach = 3 if draw(cells, of, 2) == 0 else 8
        until = _stretch_end(cells, of, mine, at, 1 + draw(cells, of, reach))
        there_until = _stretch_end(cells, of, other, there, draw(cells, of, reach + 1))
    if not _can_take(cells, of, mine, at, until, other):
        return False
    if not _can_take(cells, of, other, there, there_until, mine):
        return False
    for i in range(at, until):
        hand_over(cells, of, cells[of.order + of.racquets * mine + i], other, there)
    for i in range(there, there_until):
        hand_over(cells, of, cells[of.order + of.racquets * other + i], mine, at)
    return set_up(cells, of)
