"""Roughly what a move adds, without decoding what follows it: most moves are refused by that alone."""

from solver.search.kernels.decode import end_cost, job_cost
from solver.search.kernels.layout import SLOPE, Search
from solver.search.kernels.memory import compiled, inlined

_GAP = 15
"""Minutes without work that take up what is strung later before them."""
_FAR = 5
"""Slopes are taken over so many times `SLOPE` too, and the kinder one counts: points at their cap rise no more."""


@compiled
def _find_slopes(s: Search, stringer: int) -> None:
    """Sum up from each position of an order on what it costs to end later, and saves to end sooner."""
    n = s.team[stringer].jobs
    later = 0
    sooner = 0
    gap = 0
    s.later[stringer, n] = 0
    s.sooner[stringer, n] = 0
    for k in range(n):
        i = n - 1 - k
        job = s.order[stringer, i]
        place = s.places[job]
        now = end_cost(s, job, place.end)
        far = (end_cost(s, job, place.end + _FAR * SLOPE) - now) // _FAR
        later = min(end_cost(s, job, place.end + SLOPE) - now, far) + (later if gap <= _GAP else 0)
        room = min(SLOPE, place.start - s.jobs[job].starts_from)
        far = (now - end_cost(s, job, place.end - _FAR * room)) // _FAR
        sooner = max(now - end_cost(s, job, place.end - room), far) + (sooner if gap <= 0 else 0) if room > 0 else 0
        s.later[stringer, i] = later
        s.sooner[stringer, i] = sooner
        gap = place.start - (s.places[s.order[stringer, i - 1]].end if i > 0 else 0)
    s.team[stringer].has_slopes = 1


@inlined
def _of_what_follows(s: Search, stringer: int, at: int, time: int) -> int:
    """Estimate what the jobs from a position on add when what is before them ends at a time."""
    if at == s.team[stringer].jobs:
        return 0
    if s.team[stringer].has_slopes == 0:
        _find_slopes(s, stringer)
    job = s.order[stringer, at]
    shift = max(time, s.jobs[job].starts_from) - s.places[job].start
    return shift * (s.later[stringer, at] if shift > 0 else s.sooner[stringer, at]) // SLOPE


@compiled
def estimate(s: Search, number: int) -> int:
    """Estimate the points that a slot adds: hours and shared machines left aside, the jobs in it as they end then."""
    slot = s.slots[number]
    stringer = slot.stringer
    delta = 0
    for i in range(slot.first, slot.last):
        delta -= s.places[s.order[stringer, i]].cost
    if stringer == s.nobody:
        for i in range(slot.fresh):
            delta += s.jobs[s.trial[number, i].job].left_out
        return delta
    time = s.places[s.order[stringer, slot.first - 1]].end if slot.first > 0 else 0
    for i in range(slot.fresh):
        job = s.trial[number, i].job
        start = max(time, s.jobs[job].starts_from)
        time = start + s.fits[job, stringer].minutes
        delta += job_cost(s, job, stringer, s.places[job].trial_machine, start, time)
    return delta + _of_what_follows(s, stringer, slot.last, time)
