"""Moves of several jobs: a player's racquets together, and stretches of two stringers' work."""

from solver.search.kernels.decode import first_ending_after
from solver.search.kernels.layout import NONE, OPEN, Search
from solver.search.kernels.memory import compiled
from solver.search.kernels.trial import choose_known_stringer, choose_stringer, draw, note_change

_BREAK = 180
_LOOKS = 6
"""Racquets looked at for one of a split bag."""


@compiled
def _collect(s: Search, player: int, source: int, target: int) -> int:
    """Hand a player's jobs over to ``target``: those of ``source``, or all when it is -1."""
    moved = 0
    for i in range(s.players[player].first, s.players[player].last):
        job = s.player_jobs[i]
        stringer = s.places[job].stringer
        if stringer == target or (source >= 0 and stringer != source):
            continue
        if s.fits[job, target].minutes == 0 or s.jobs[job].is_owned == 0:
            continue
        note_change(s, job, target, OPEN)
        moved += 1
    return moved


@compiled
def _of_split_bag(s: Search, job: int) -> int:
    """A job, this or another, whose player's bag pays for a second stringer; -1 where none was found."""
    for _ in range(_LOOKS):
        its = s.players[s.jobs[job].player]
        if its.stringers > its.free_stringers:
            return job
        job = s.owned[draw(s, s.owned_count)]
    return NONE


@compiled
def gather(s: Search, job: int) -> bool:
    """Give a player's racquets, of one stringer or of all, to one stringer: a split bag to one who has part of it."""
    split = _of_split_bag(s, job)
    job = job if split < 0 else split
    target = choose_stringer(s, job) if split < 0 else choose_known_stringer(s, job)
    source = NONE if draw(s, 2) == 0 else s.places[job].stringer
    return target != source and _collect(s, s.jobs[job].player, source, target) > 0


@compiled
def trade_players(s: Search, job: int) -> bool:
    """Exchange a player's racquets at one stringer for another's at another: it may make a split bag whole."""
    split = _of_split_bag(s, job) if draw(s, 2) == 0 else NONE
    job = job if split < 0 else split
    mine = s.places[job].stringer
    other = choose_stringer(s, job) if split < 0 else choose_known_stringer(s, job)
    n = s.team[other].jobs
    if n == 0 or max(mine, other) == s.nobody or mine == other:
        return False
    at = first_ending_after(s, other, s.places[job].start) + draw(s, 5) - 2
    partner = s.order[other, min(max(at, 0), n - 1)]
    player = s.jobs[job].player
    second = s.jobs[partner].player
    if player == second:
        return False
    moved = _collect(s, player, mine, other)
    moved += _collect(s, second, other, mine)
    return moved > 0


@compiled
def _stretch_end(s: Search, stringer: int, at: int, size: int) -> int:
    """The end of a stretch from a position: ``size`` jobs, or to the day's end when it is -1."""
    n = s.team[stringer].jobs
    if size >= 0:
        return min(at + size, n)
    end = at
    while end < n:
        if end > at and s.places[s.order[stringer, end]].start - s.places[s.order[stringer, end - 1]].end > _BREAK:
            break
        end += 1
    return end


@compiled
def _can_take(s: Search, stringer: int, first: int, last: int, other: int) -> bool:
    can = True
    for i in range(first, last):
        if s.fits[s.order[stringer, i], other].minutes == 0:
            can = False
    return can


@compiled
def exchange_stretches(s: Search, job: int) -> bool:
    """Exchange two stringers' work of about the same time: some jobs, or all until the day's end."""
    mine = s.places[job].stringer
    other = choose_stringer(s, job)
    if max(mine, other) == s.nobody or mine == other:
        return False
    at = s.places[job].position
    there = min(first_ending_after(s, other, s.places[job].start) + draw(s, 2), s.team[other].jobs)
    size = NONE
    back = NONE
    if draw(s, 4) > 0:
        reach = 3 if draw(s, 2) == 0 else 8
        size = 1 + draw(s, reach)
        back = draw(s, reach + 1)
    until = _stretch_end(s, mine, at, size)
    there_until = _stretch_end(s, other, there, back)
    if not _can_take(s, mine, at, until, other) or not _can_take(s, other, there, there_until, mine):
        return False
    for i in range(at, until):
        note_change(s, s.order[mine, i], other, there)
    for i in range(there, there_until):
        note_change(s, s.order[other, i], mine, at)
    return True
