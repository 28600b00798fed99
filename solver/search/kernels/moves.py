"""Moves of one or two jobs.  Each puts a move on trial and says whether there is one."""

from solver.search.kernels.decode import first_ending_after
from solver.search.kernels.layout import OPEN, Search
from solver.search.kernels.memory import compiled, inlined
from solver.search.kernels.trial import choose_known_stringer, draw, note_change, open_slot


@inlined
def _other_position(s: Search, position: int, length: int) -> int:
    """Another position, mostly close by."""
    reach = 3 if draw(s, 2) == 0 else 10
    if draw(s, 16) == 0:
        return draw(s, length)
    step = 1 + draw(s, reach)
    if draw(s, 2) == 0:
        step = -step
    return min(max(position + step, 0), length - 1)


@compiled
def move_within(s: Search, job: int, exchanges: bool) -> bool:
    """Shift a job, or up to three in a row, within its stringer's order; or exchange it for another there."""
    place = s.places[job]
    stringer = place.stringer
    n = s.team[stringer].jobs
    if stringer == s.nobody or n < 2:
        return False
    at = place.position
    to = _other_position(s, at, n)
    size = 1 if exchanges or draw(s, 3) > 0 else 2 + draw(s, 2)
    if to == at or max(at, to) + size > n:
        return False
    first = min(at, to)
    count = max(at, to) + size - first
    number = open_slot(s, stringer, first, first + count)
    s.slots[number].fresh = count
    for i in range(count):
        s.trial[number, i].job = s.order[stringer, first + i]
    if exchanges:
        s.trial[number, 0].job = s.order[stringer, first + count - 1]
        s.trial[number, count - 1].job = s.order[stringer, first]
        return True
    front = size if to > at else count - size
    for i in range(count):
        source = i + front if i + front < count else i + front - count
        s.trial[number, i].job = s.order[stringer, first + source]
    return True


@compiled
def relocate(s: Search, job: int) -> bool:
    """Give a job to another stringer."""
    stringer = choose_known_stringer(s, job)
    if stringer == s.places[job].stringer:
        return False
    note_change(s, job, stringer, OPEN)
    return True


@compiled
def leave_out(s: Search, job: int) -> bool:
    """Take a job out of the plan."""
    if s.places[job].stringer == s.nobody:
        return False
    note_change(s, job, s.nobody, OPEN)
    return True


@inlined
def _partner(s: Search, other: int, at: int, mine: int) -> int:
    """A job of ``other`` from a position on whose player knows ``mine``, or the one there."""
    if mine < s.nobody:
        for i in range(at, min(at + 4, s.team[other].jobs)):
            job = s.order[other, i]
            if s.stringer_use[s.jobs[job].player, mine] > 0:
                return job
    return s.order[other, at]


@compiled
def exchange(s: Search, job: int) -> bool:
    """Exchange a job for one that another stringer has at about the same time."""
    place = s.places[job]
    mine = place.stringer
    other = choose_known_stringer(s, job)
    if draw(s, 64) == 0:
        other = s.nobody
    n = s.team[other].jobs
    if other == mine or n == 0:
        return False
    at = draw(s, n)
    if max(mine, other) < s.nobody:
        at = first_ending_after(s, other, place.start) + draw(s, 5) - 2
    partner = _partner(s, other, min(max(at, 0), n - 1), mine)
    if s.jobs[partner].is_owned == 0:
        return False
    if mine < s.nobody and s.fits[partner, mine].minutes == 0:
        return False
    if other < s.nobody and s.fits[job, other].minutes == 0:
        return False
    stays = draw(s, 2) > 0
    note_change(s, job, other, s.places[partner].position if stays else OPEN)
    note_change(s, partner, mine, place.position if stays else OPEN)
    return True


@compiled
def change_machine(s: Search, job: int) -> bool:
    """String a job elsewhere, at the same place of the order or another."""
    place = s.places[job]
    stringer = place.stringer
    n = s.jobs[job].machines
    if stringer == s.nobody or n < 2:
        return False
    note_change(s, job, stringer, OPEN if draw(s, 2) == 0 else place.position)
    if draw(s, 2) == 0:
        machine = s.where[job, draw(s, n)]
        s.changes[0].to_machine = machine
        return machine != place.machine
    return True


@compiled
def redo(s: Search, job: int) -> bool:
    """Decode a stringer anew from a job on: a shared machine may have become free, or the job be flipped."""
    place = s.places[job]
    if place.stringer == s.nobody:
        return False
    open_slot(s, place.stringer, place.position, place.position)
    return True
