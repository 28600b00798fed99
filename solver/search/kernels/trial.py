"""Putting a move on trial: which jobs change hands, and which stretches of which orders that touches."""

import numpy as np

from solver.search.kernels.decode import first_ending_after
from solver.search.kernels.layout import MAX_SLOTS, NONE, OPEN, Search
from solver.search.kernels.memory import compiled, inlined

_MULTIPLIER = np.uint64(2685821657736338717)
_12, _25, _27, _31, _33 = (np.uint64(bits) for bits in (12, 25, 27, 31, 33))


@compiled
def draw(s: Search, n: int) -> int:
    """A whole number from 0 to ``n - 1``, by xorshift64* (Vigna 2016, ACM TOMS 42:30)."""
    x = np.uint64(s.random)
    x ^= x >> _12
    x ^= x << _25
    x ^= x >> _27
    s.random = np.int64(x)  # type: ignore[assignment]
    return np.int64(((x * _MULTIPLIER) >> _33) * np.uint64(n) >> _31)  # type: ignore[return-value]


def seeded(seed: int) -> int:
    """A generator's state for ``seed``; never zero, which xorshift cannot leave."""
    mixed = np.random.SeedSequence(seed & 0xFFFFFFFFFFFF).generate_state(1, np.uint64)
    return int(mixed.view(np.int64)[0]) | 1


@compiled
def flip(s: Search, job: int) -> None:
    """Let a job wait until it would be fresh, or no longer."""
    its = s.jobs[job]
    its.starts_from = its.ready if its.starts_from > its.ready else its.fresh_from
    s.flipped = job


@compiled
def open_slot(s: Search, stringer: int, first: int, last: int) -> int:
    """The slot of a stringer, widened to hold ``[first, last)``; -1 when there are too many."""
    number = s.team[stringer].slot
    if number >= 0:
        slot = s.slots[number]
        slot.first = min(slot.first, first)
        slot.last = max(slot.last, last)
        return number
    number = s.slot_count
    if number == MAX_SLOTS:
        return NONE
    s.slot_count = number + 1
    s.team[stringer].slot = number
    slot = s.slots[number]
    slot.stringer = stringer
    slot.first = first
    slot.last = last
    slot.fresh = 0
    slot.is_done = 0
    return number


@compiled
def choose_machine(s: Search, job: int, stringer: int) -> int:
    """A machine for a job with a stringer: mostly the bench; -1 for the unplaced."""
    if stringer == s.nobody:
        return NONE
    bench = s.team[stringer].bench
    if bench >= 0 and s.allowed[job, bench] == 1 and draw(s, 32) > 0:
        return bench
    n = s.jobs[job].machines
    machine = s.where[job, draw(s, n)]
    if s.benches[stringer, machine].away == 0 or draw(s, 2) == 0:
        return machine
    for _ in range(3):
        other = s.where[job, draw(s, n)]
        if s.machine_use[s.jobs[job].player, other] > 0:
            return other
    return machine


@compiled
def choose_stringer(s: Search, job: int) -> int:
    """Any stringer who may take the job."""
    return s.may[job, draw(s, s.jobs[job].stringers)]


@compiled
def choose_known_stringer(s: Search, job: int) -> int:
    """Mostly a stringer who knows the player already; anyone rather more often when the job is late."""
    its = s.jobs[job]
    place = s.places[job]
    n = its.stringers
    k = draw(s, n)
    if draw(s, 2 if place.end > its.wanted else 8) > 0:
        for _ in range(n):
            stringer = s.may[job, k]
            if stringer != place.stringer and s.stringer_use[its.player, stringer] > 0:
                return stringer
            k = k + 1 if k + 1 < n else 0
    return s.may[job, k]


@compiled
def choose_position(s: Search, job: int, stringer: int) -> int:
    """A place in a stringer's order where the job makes sense by its times."""
    n = s.team[stringer].jobs
    if stringer == s.nobody:
        return n
    ready = s.jobs[job].ready
    low = first_ending_after(s, stringer, ready)
    kind = draw(s, 8)
    if kind == 7:
        at = low + draw(s, n - low + 1)
    else:
        time = s.places[job].start
        if kind >= 4:
            time = ready + draw(s, min(max(s.jobs[job].due - ready, 1), 1440))
        at = first_ending_after(s, stringer, time) + (draw(s, 3) - 1 if kind < 4 else draw(s, 2))
    return min(max(at, low), n)


@compiled
def note_change(s: Search, job: int, stringer: int, position: int) -> None:
    """Note that a job goes to a stringer, at a position of the present order or at any that suits (`OPEN`)."""
    change = s.changes[s.change_count]
    s.change_count += 1
    change.job = job
    change.from_stringer = s.places[job].stringer
    change.from_machine = s.places[job].machine
    change.to_stringer = stringer
    change.to_machine = OPEN
    change.to_position = position


@inlined
def _sort(s: Search, last: int) -> None:
    """Let the last of some changes take its turn among those before it, which are in order of position."""
    for i in range(last, 0, -1):
        one, other = s.changes[i - 1], s.changes[i]
        if one.to_position <= other.to_position:
            return
        one.job, other.job = other.job, one.job
        one.from_stringer, other.from_stringer = other.from_stringer, one.from_stringer
        one.from_machine, other.from_machine = other.from_machine, one.from_machine
        one.to_stringer, other.to_stringer = other.to_stringer, one.to_stringer
        one.to_machine, other.to_machine = other.to_machine, one.to_machine
        one.to_position, other.to_position = other.to_position, one.to_position


@inlined
def _complete(s: Search) -> None:
    """Choose the machines and positions that the move left open, and put the changes in order."""
    for i in range(s.change_count):
        change = s.changes[i]
        if change.to_machine == OPEN:
            change.to_machine = choose_machine(s, change.job, change.to_stringer)
        if change.to_position == OPEN:
            change.to_position = choose_position(s, change.job, change.to_stringer)
        _sort(s, i)


@inlined
def _open_slots(s: Search) -> bool:
    """Open a slot for every stringer who loses or gets a job; False when there are too many."""
    fits = True
    for i in range(2 * s.change_count):
        is_taking = i < s.change_count  # first, so that the points saved are known when the rest is decoded
        change = s.changes[i if is_taking else i - s.change_count]
        at = s.places[change.job].position if is_taking else change.to_position
        stringer = change.from_stringer if is_taking else change.to_stringer
        if open_slot(s, stringer, at, at + is_taking) < 0:
            fits = False
    return fits


@inlined
def _fill(s: Search, number: int) -> None:
    """Put the jobs into a slot: what stays of its stretch, and what is given to its stringer."""
    slot = s.slots[number]
    n = 0
    k = 0
    for i in range(slot.first, slot.last + 1):
        while k < s.change_count and s.changes[k].to_position <= i:
            if s.changes[k].to_stringer == slot.stringer:
                s.trial[number, n].job = s.changes[k].job
                n += 1
            k += 1
        if i < slot.last:
            job = s.order[slot.stringer, i]
            if s.jobs[job].is_moving == 0:
                s.trial[number, n].job = job
                n += 1
    slot.fresh = n


@compiled
def set_up(s: Search) -> bool:
    """Complete the noted changes, open the slots that they touch and fill them; False when they are too many."""
    _complete(s)
    if not _open_slots(s):
        return False
    for i in range(s.change_count):
        change = s.changes[i]
        s.jobs[change.job].is_moving = 1
        s.places[change.job].trial_machine = change.to_machine
    for number in range(s.slot_count):
        _fill(s, number)
    for i in range(s.change_count):
        s.jobs[s.changes[i].job].is_moving = 0
    return True
