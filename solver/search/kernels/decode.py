"""From orders to times: the earliest start of each job after the one before it.

A move replaces a stretch of the order of a few stringers (its *slots*).  Each slot is decoded from
that stretch on, until a job falls on its old start; all other stringers keep their times, and
their work on a shared machine is an obstacle.
"""

from solver.search.kernels.layout import FORBIDDEN, HUGE, NONE, Search, Slot
from solver.search.kernels.memory import compiled, inlined


@compiled
def job_cost(s: Search, job: int, stringer: int, machine: int, start: int, end: int) -> int:
    """Points of a planned job, continuity apart."""
    cost = s.fits[job, stringer].points + s.benches[stringer, machine].away + end_cost(s, job, end)
    return cost + s.stale if start < s.jobs[job].fresh_from else cost


@compiled
def end_cost(s: Search, job: int, end: int) -> int:
    """Points for the end of a job."""
    its = s.jobs[job]
    cost = s.waiting * (end - its.waits_from) if end > its.waits_from else 0
    past = end - its.first
    if past >= 0:
        last = its.minutes - 1
        if past <= last:
            cost += s.end_points[its.row + past]
        else:
            cost += s.end_points[its.row + last] + its.slope * (past - last)
    return cost


@compiled
def first_ending_after(s: Search, stringer: int, time: int) -> int:
    """The first position in a stringer's order whose job ends after ``time``."""
    low = 0
    high = s.team[stringer].jobs
    while low < high:
        middle = (low + high) >> 1
        if s.places[s.order[stringer, middle]].end > time:
            high = middle
        else:
            low = middle + 1
    return low


@compiled
def _stands(s: Search, slot: int, position: int) -> bool:
    """Whether the job at a position keeps its time, as far as the trial has been decoded."""
    if slot < 0 or position < s.slots[slot].first:
        return True
    return s.slots[slot].is_done == 1 and position >= s.slots[slot].resume


@inlined
def _clash_with_host(s: Search, host: int, machine: int, start: int, end: int) -> int:
    slot = s.team[host].slot
    for i in range(first_ending_after(s, host, start), s.team[host].jobs):
        place = s.places[s.order[host, i]]
        if place.start >= end:
            return -1
        if place.machine == machine and place.end > place.start and _stands(s, slot, i):
            return place.end
    return -1


@inlined
def _clash_with_trial(s: Search, stringer: int, machine: int, start: int, end: int) -> int:
    for k in range(s.slot_count):
        slot = s.slots[k]
        if slot.is_done == 0 or slot.stringer == stringer:
            continue
        for i in range(slot.count):
            tried = s.trial[k, i]
            overlaps = tried.start < end and tried.end > start and tried.end > tried.start
            if overlaps and s.places[tried.job].trial_machine == machine:
                return tried.end
    return -1


@inlined
def clash(s: Search, stringer: int, machine: int, start: int, end: int) -> int:
    """End of another stringer's work on the machine within ``[start, end)``, or -1."""
    for i in range(s.machines[machine].guests):
        place = s.places[s.guests[machine, i]]
        if place.start >= end or place.end <= start or place.end == place.start or place.stringer == stringer:
            continue
        if _stands(s, s.team[place.stringer].slot, place.position):
            return place.end
    host = s.machines[machine].host
    if host >= 0 and host != stringer:
        until = _clash_with_host(s, host, machine, start, end)
        if until >= 0:
            return until
    return _clash_with_trial(s, stringer, machine, start, end) if s.slot_count > 1 else -1


@compiled
def earliest(s: Search, stringer: int, job: int, machine: int, time: int) -> int:
    """The earliest start from ``time`` on in the hours of both, or -1 when there is none."""
    length = s.fits[job, stringer].minutes
    start = max(time, s.jobs[job].starts_from)
    its = s.machines[machine]
    is_alone = its.guests == 0 and its.host == stringer and s.is_touching == 0
    hours = s.benches[stringer, machine]
    for w in range(hours.first, hours.last):
        while True:
            at = max(start, s.windows[w].start)
            if at + length > s.windows[w].end:
                break
            if is_alone:
                return at
            until = clash(s, stringer, machine, at, at + length)
            if until < 0:
                return at
            start = until
    return -1


@inlined
def _touches(s: Search, slot: int) -> int:
    """Whether anything in the decoded slot is at a machine that others use."""
    stringer = s.slots[slot].stringer
    for i in range(s.slots[slot].count):
        its = s.machines[s.places[s.trial[slot, i].job].trial_machine]
        if its.guests > 0 or its.host != stringer:
            return 1
    return 0


@compiled
def _close(s: Search, slot: Slot, count: int, resume: int) -> None:
    slot.count = count
    slot.resume = resume
    slot.is_done = 1


@inlined
def _leave_out(s: Search, number: int) -> int:
    """Decode the slot of those left out: they cost what they cost."""
    slot = s.slots[number]
    delta = 0
    for i in range(slot.first, slot.last):
        delta -= s.places[s.order[s.nobody, i]].cost
    for i in range(slot.fresh):
        tried = s.trial[number, i]
        tried.start = 0
        tried.end = 0
        tried.cost = s.jobs[tried.job].left_out
        delta += tried.cost
    _close(s, slot, slot.fresh, slot.last)
    return delta


@compiled
def _position(s: Search, number: int, job: int) -> int:
    """The position of a job in the order that a decoded slot makes, or NONE where it is with another stringer."""
    slot = s.slots[number]
    for i in range(slot.count):
        if s.trial[number, i].job == job:
            return slot.first + i
    place = s.places[job]
    if place.stringer != slot.stringer or slot.first <= place.position < slot.resume:
        return NONE
    return place.position if place.position < slot.first else place.position + s.job_count


@compiled
def _keeps_turns(s: Search, number: int) -> bool:
    """Whether every job of a decoded slot's stringer comes after those that it is to come after."""
    first = NONE
    at = NONE
    for i in range(s.turn_count):
        turn = s.turns[i]
        if turn.first != first:
            first = turn.first
            at = _position(s, number, first)
        if at != NONE:
            there = _position(s, number, turn.second)
            if there != NONE and there < at:
                return False
    return True


@compiled
def decode(s: Search, number: int, limit: int, to_the_end: bool) -> int:
    """Decode a slot; return the points added, or HUGE as soon as they must exceed ``limit``.

    FORBIDDEN points are added where a job comes before one that it is to come after.
    """
    slot = s.slots[number]
    stringer = slot.stringer
    if stringer == s.nobody:
        return _leave_out(s, number)
    delta = 0
    for i in range(slot.first, slot.last):
        delta -= s.places[s.order[stringer, i]].cost
    time = s.places[s.order[stringer, slot.first - 1]].end if slot.first > 0 else 0
    is_thorough = to_the_end or s.is_touching == 1
    count = 0
    resume = slot.last
    length = s.team[stringer].jobs
    while count < slot.fresh or resume < length:
        tried = s.trial[number, count]
        is_old = count >= slot.fresh
        if is_old:
            tried.job = s.order[stringer, resume]
        job = tried.job
        place = s.places[job]
        start = earliest(s, stringer, job, place.trial_machine, time)
        if is_old and not is_thorough and start == place.start and place.end > start:
            break
        time = _note(s, number, count, stringer, start, time)
        delta += tried.cost
        count += 1
        if is_old:
            delta -= place.cost
            resume += 1
            if delta > limit and time >= place.end:
                return HUGE
    _close(s, slot, count, resume)
    if s.is_touching == 0:
        s.is_touching = _touches(s, number)
    if s.turn_count > 0 and not _keeps_turns(s, number):
        return FORBIDDEN
    return delta


@compiled
def _note(s: Search, number: int, count: int, stringer: int, start: int, time: int) -> int:
    """Note a job's times and cost in the trial, those of one left out where no start fits; return its end."""
    tried = s.trial[number, count]
    if start < 0:
        tried.start = time
        tried.end = time
        tried.cost = s.jobs[tried.job].left_out
        return time
    end = start + s.fits[tried.job, stringer].minutes
    tried.start = start
    tried.end = end
    tried.cost = job_cost(s, tried.job, stringer, s.places[tried.job].trial_machine, start, end)
    return end
