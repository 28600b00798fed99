"""Gaps for racquets that have not come yet: a bench's minutes that are promised to nobody."""

import math
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from solver.contract.calendar import Calendar, started_assignments
from solver.contract.plan import Assignment
from solver.contract.workload import Job, Span, Workload, late_from, minutes_within
from solver.judge.costs import job_cost

QUEUE_OF_FIRST_GAPS, QUEUE_OF_FULL_GAPS, LEAST = 2.0, 3.5, 0.2
"""Mean queues from which on what can wait is put off more than the least, and as far as it can; the least part."""
KEPT_BEFORE, MOST_FOR_A_MINUTE = 90, 2
"""Minutes that stay free before a racquet is needed, and the most minutes of gap for a minute of work ahead.

All of these were found by played days with promises, whose totals stand in DEVELOPERS.md.
"""
DAY = 16 * 60
"""Minutes ahead whose hours count, and the work that is needed within them."""


def put_off(workload: Workload) -> float:
    """Give the part of its spare time by which a racquet that can wait is put off, 0 to 1.

    As much again is thought to come as is there. At benches that are then busy for a share q of the day's hours
    the mean queue holds q / (1 - q) racquets (M/M/1, Kleinrock 1975, Queueing Systems I).
    """
    until = workload.now + DAY
    waiting = (job for job in workload.jobs if job.started is None)
    minutes = sum(job.minutes for job in waiting if (late_from(job) or until) <= until)
    hours = sum(minutes_within(s.windows, workload.now, until) for s in workload.stringers)
    busy = 2 * minutes / max(hours, 1)
    queue = busy / (1 - busy) if busy < 1 else math.inf
    part = (queue - QUEUE_OF_FIRST_GAPS) / (QUEUE_OF_FULL_GAPS - QUEUE_OF_FIRST_GAPS)
    return min(1.0, max(LEAST, part))


def with_gaps(workload: Workload, assignments: Iterable[Assignment]) -> list[Assignment]:
    """Let racquets wait at their bench where that costs waiting alone.

    What can wait is put off, the more the fuller the benches are. Who is told the end of such a plan is told what
    the bench can keep when others come in between. What is next at a bench stays, so that nobody stands idle for it.

    Parameters
    ----------
    workload : Workload
        What is planned; its prices say what a later end costs.
    assignments : iterable of Assignment
        A plan that keeps every rule.

    Returns
    -------
    list of Assignment
        A plan that keeps every rule, each job with the stringer and the machine that it had, none sooner.
    """
    by_start = sorted(assignments, key=lambda a: a.start)
    wished = dict(_wishes(workload, by_start))
    calendar = Calendar(workload)
    made = started_assignments(workload)
    for a in reversed(by_start):
        job = workload.job_by_id[a.job]
        if job.started is None:
            # What is not moved yet ends before this one begins: it is in nobody's way.
            harmless = a.start if a.job in workload.in_turn else _last_harmless(workload, job, a, wished[a.job])
            start = calendar.latest(a.stringer, a.machine, harmless, a.end - a.start)
            made.append(_at(a, start))
            calendar.take(made[-1])
    return made


def _wishes(workload: Workload, by_start: Iterable[Assignment]) -> Iterator[tuple[str, int]]:
    """Give for each racquet the start to which it may be put off."""
    part, last = put_off(workload), _last_needed(workload)
    ahead: dict[str, int] = defaultdict(int)
    for a in by_start:
        needed = late_from(workload.job_by_id[a.job])
        spare = max(0, (last if needed is None else needed) - a.end - KEPT_BEFORE)
        windows = workload.stringer_by_id[a.stringer].windows
        behind_gaps = _after(windows, workload.now, (1 + MOST_FOR_A_MINUTE) * ahead[a.stringer])
        yield a.job, max(a.start, min(behind_gaps, a.start + int(part * spare)))
        ahead[a.stringer] += max(0, a.end - max(a.start, workload.now))


def _last_harmless(workload: Workload, job: Job, a: Assignment, until: int) -> int:
    """Give the last start up to a minute that costs no more than the present one but for waiting."""

    def cost(start: int) -> int:
        costs = job_cost(workload, job, _at(a, start))
        return sum(costs.values()) - costs["waiting"]

    if cost(until) <= (present := cost(a.start)):
        return until
    return a.start + max(0, bisect_right(range(a.start, until), present, key=cost) - 1)


def _last_needed(workload: Workload) -> int:
    needed = (late_from(job) for job in workload.jobs if job.started is None)
    return max((at for at in needed if at is not None), default=workload.now)


def _at(a: Assignment, start: int) -> Assignment:
    return replace(a, start=start, end=start + a.end - a.start)


def _after(windows: Sequence[Span], since: int, minutes: int) -> int:
    """Give the moment by which so many minutes of some hours have passed, the last of them at most."""
    last = since
    for start, end in sorted(windows):
        first = max(start, since)
        if minutes < end - first:
            return first + minutes
        minutes -= max(0, end - first)
        last = max(last, end)
    return last
