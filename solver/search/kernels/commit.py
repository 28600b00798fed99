"""Taking a tried move over into the plan or taking it back, and counting who is new to a player."""

from solver.search.kernels.layout import NONE, Player, Search
from solver.search.kernels.memory import Table, compiled, inlined
from solver.search.kernels.trial import flip


@compiled
def _above(count: int, free: int) -> int:
    return count - free if count > free else 0


@compiled
def _continuity_cost(s: Search, player: int) -> int:
    """Points for the stringers, machines and kinds of machine that are new to a player."""
    its = s.players[player]
    cost = s.extra_stringer * _above(its.stringers, its.free_stringers)
    cost += s.extra_machine * _above(its.machines, its.free_machines)
    return cost + s.extra_kind * _above(its.kinds, its.free_kinds)


@compiled
def _count(use: Table[int], player: int, old: int, new: int) -> int:
    """Count a racquet from one stringer (or machine, or kind) to another; return by how many more are in use."""
    more = 0
    if old != new:
        if old >= 0:
            use[player, old] -= 1
            more -= use[player, old] == 0
        if new >= 0:
            more += use[player, new] == 0
            use[player, new] += 1
    return more


@compiled
def _kind_of(s: Search, machine: int) -> int:
    return s.machines[machine].kind if machine >= 0 else -1


@compiled
def recount(s: Search, job: int, old_stringer: int, old_machine: int, stringer: int, machine: int) -> int:
    """Count a job's change of stringer and machine; return the points it adds."""
    player = s.jobs[job].player
    its: Player = s.players[player]
    before = _continuity_cost(s, player)
    old = old_stringer if old_stringer < s.nobody else -1
    new = stringer if stringer < s.nobody else -1
    its.stringers += _count(s.stringer_use, player, old, new)
    its.machines += _count(s.machine_use, player, old_machine, machine)
    its.kinds += _count(s.kind_use, player, _kind_of(s, old_machine), _kind_of(s, machine))
    return _continuity_cost(s, player) - before


@compiled
def count_changes(s: Search, is_back: bool) -> int:
    """Count every change of the move on trial, or take that back; return the points added."""
    delta = 0
    for i in range(s.change_count):
        c = s.changes[i]
        if is_back:
            delta += recount(s, c.job, c.to_stringer, c.to_machine, c.from_stringer, c.from_machine)
        else:
            delta += recount(s, c.job, c.from_stringer, c.from_machine, c.to_stringer, c.to_machine)
    return delta


@compiled
def leave_machine(s: Search, job: int, stringer: int, machine: int) -> None:
    """Strike a job off the guests of a machine, if it is one."""
    if machine >= 0 and s.machines[machine].host != stringer:
        its = s.machines[machine]
        its.guests -= 1
        last = s.guests[machine, its.guests]
        s.guests[machine, s.places[job].guest] = last
        s.places[last].guest = s.places[job].guest


@compiled
def join_machine(s: Search, job: int, stringer: int, machine: int) -> None:
    """Enter a job among the guests of a machine, unless its stringer is the host."""
    if machine >= 0 and s.machines[machine].host != stringer:
        its = s.machines[machine]
        s.guests[machine, its.guests] = job
        s.places[job].guest = its.guests
        its.guests += 1


@inlined
def _take_over_slot(s: Search, number: int) -> None:
    slot = s.slots[number]
    stringer = slot.stringer
    s.team[stringer].has_slopes = 0
    length = s.team[stringer].jobs
    shift = slot.first + slot.count - slot.resume
    if shift != 0:
        for k in range(length - slot.resume):
            i = length - 1 - k if shift > 0 else slot.resume + k
            job = s.order[stringer, i]
            s.order[stringer, i + shift] = job
            s.places[job].position = i + shift
        s.team[stringer].jobs = length + shift
    for i in range(slot.count):
        tried = s.trial[number, i]
        s.order[stringer, slot.first + i] = tried.job
        place = s.places[tried.job]
        place.stringer = stringer
        place.position = slot.first + i
        place.start = tried.start
        place.end = tried.end
        place.cost = tried.cost


@compiled
def clear_trial(s: Search) -> None:
    """Forget the move on trial."""
    for number in range(s.slot_count):
        s.team[s.slots[number].stringer].slot = -1
    s.slot_count = 0
    s.flipped = NONE
    s.change_count = 0
    s.is_touching = 0


@compiled
def take_over(s: Search, delta: int) -> None:
    """Make the decoded move part of the plan."""
    for i in range(s.change_count):
        c = s.changes[i]
        leave_machine(s, c.job, c.from_stringer, c.from_machine)
    for number in range(s.slot_count):
        _take_over_slot(s, number)
    for i in range(s.change_count):
        c = s.changes[i]
        s.places[c.job].machine = c.to_machine
        join_machine(s, c.job, c.to_stringer, c.to_machine)
    s.total += delta


@inlined
def take_back(s: Search) -> None:
    """Leave the plan as it was before the move."""
    count_changes(s, True)
    if s.flipped != NONE:
        flip(s, s.flipped)
    for i in range(s.change_count):
        s.places[s.changes[i].job].trial_machine = s.changes[i].from_machine


@compiled
def keep_best(s: Search) -> None:
    """Copy the present places to the best ones."""
    for job in range(s.job_count):
        best, place = s.best[job], s.places[job]
        best.stringer = place.stringer
        best.machine = place.machine
        best.start = place.start
        best.end = place.end
    s.has_unsaved_best = 0
