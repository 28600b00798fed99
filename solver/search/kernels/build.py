"""First plans: from the places of an earlier one, or job by job in a given order."""

from solver.search.kernels.commit import clear_trial, join_machine, keep_best, leave_machine, recount, take_over
from solver.search.kernels.decode import decode, earliest, job_cost
from solver.search.kernels.layout import HUGE, NONE, Search
from solver.search.kernels.memory import compiled, inlined
from solver.search.kernels.trial import open_slot


@compiled
def _append(s: Search, job: int, stringer: int, machine: int, time: int, limit: int) -> int:
    """Put an unplaced job at the end of a stringer's order, no earlier than ``time``, if it adds at most ``limit``.

    Gives the points it adds to those of leaving it out, or HUGE where there is no time for it.
    """
    n = s.team[stringer].jobs
    if n > 0:
        time = max(time, s.places[s.order[stringer, n - 1]].end)
    start = earliest(s, stringer, job, machine, time)
    if start < 0:
        return HUGE
    place = s.places[job]
    end = start + s.fits[job, stringer].minutes
    cost = job_cost(s, job, stringer, machine, start, end)
    delta = cost - place.cost + recount(s, job, s.nobody, NONE, stringer, machine)
    if delta > limit:
        recount(s, job, stringer, machine, s.nobody, NONE)
        return delta
    _take_out(s, place.position)
    s.order[stringer, n] = job
    s.team[stringer].jobs = n + 1
    s.team[stringer].has_slopes = 0
    place.stringer = stringer
    place.position = n
    place.machine = machine
    place.trial_machine = machine
    place.start = start
    place.end = end
    place.cost = cost
    join_machine(s, job, stringer, machine)
    s.total += delta
    return delta


@compiled
def _take_out(s: Search, at: int) -> None:
    """Take the job at a position out of the unplaced."""
    last = s.team[s.nobody].jobs - 1
    other = s.order[s.nobody, last]
    s.order[s.nobody, at] = other
    s.places[other].position = at
    s.team[s.nobody].jobs = last


@compiled
def _leave_all_out(s: Search) -> None:
    for stringer in range(s.nobody):
        for i in range(s.team[stringer].jobs):
            job = s.order[stringer, i]
            place = s.places[job]
            leave_machine(s, job, stringer, place.machine)
            recount(s, job, stringer, place.machine, s.nobody, NONE)
        s.team[stringer].jobs = 0
    s.total = 0
    s.team[s.nobody].jobs = s.job_count
    for job in range(s.job_count):
        place = s.places[job]
        place.stringer = s.nobody
        place.position = job
        place.machine = NONE
        place.trial_machine = NONE
        place.start = 0
        place.end = 0
        place.cost = s.jobs[job].left_out
        s.order[s.nobody, job] = job
        s.total += place.cost


@inlined
def _append_cheapest(s: Search, job: int) -> None:
    """Append an unplaced job where it adds least, or nowhere."""
    least = 0
    to = NONE
    at = NONE
    for k in range(s.jobs[job].stringers):
        stringer = s.may[job, k]
        bench = s.team[stringer].bench
        is_at_bench = bench >= 0 and s.allowed[job, bench] == 1
        for h in range(1 if is_at_bench else s.jobs[job].machines):
            machine = bench if is_at_bench else s.where[job, h]
            added = _append(s, job, stringer, machine, 0, -HUGE)
            if added < least:
                least = added
                to = stringer
                at = machine
    if to >= 0:
        _append(s, job, to, at, 0, HUGE)


@inlined
def _close_gaps(s: Search) -> None:
    """Decode every stringer from the beginning."""
    for stringer in range(s.nobody):
        delta = decode(s, open_slot(s, stringer, 0, 0), HUGE, True)
        if delta <= 0:
            take_over(s, delta)
        clear_trial(s)
    if s.total < s.best_total:
        s.best_total = s.total
        keep_best(s)


@inlined
def build(s: Search, keeps_times: bool) -> None:
    """Append the jobs in sequence, each at its given bench; then close gaps.

    With their times they start no earlier than given, and what does not fit is left out; without,
    each goes where it adds least when it has no bench that fits.
    """
    _leave_all_out(s)
    for i in range(s.job_count):
        job = s.sequence[i]
        given = s.given[job]
        its = s.jobs[job]
        is_early = keeps_times and given.start < its.fresh_from
        its.starts_from = its.ready if is_early or its.fresh_from < its.ready else its.fresh_from
        has_bench = given.stringer < s.nobody and (given.end > given.start or not keeps_times)
        if has_bench and s.fits[job, given.stringer].minutes > 0 and s.allowed[job, given.machine] == 1:
            _append(s, job, given.stringer, given.machine, given.start if keeps_times else 0, HUGE)
        if s.places[job].stringer == s.nobody and not keeps_times:
            _append_cheapest(s, job)
    _close_gaps(s)
