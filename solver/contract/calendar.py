"""The free time of stringers and machines while a plan is put together."""

from collections.abc import Iterable, Sequence

from solver.contract.end_points import QUEUE_MOST, later_may_cost_less
from solver.contract.plan import Assignment
from solver.contract.workload import Job, Span, Workload, bench_minutes, earliest_start, inside
from solver.judge.costs import last_minute

ALWAYS: Span = (-(10**12), 10**12)


class FreeTime:
    """The stretches in which one stringer or machine could take a job; each lies in one window."""

    __slots__ = ("spans",)

    def __init__(self, windows: Sequence[Span] | None) -> None:
        self.spans: list[Span] = [ALWAYS] if windows is None else sorted(windows)

    def take(self, start: int, end: int) -> None:
        """Cut ``[start, end)`` out of every stretch."""
        kept: list[Span] = []
        for a, b in self.spans:
            if b <= start or a >= end:
                kept.append((a, b))
                continue
            if a < start:
                kept.append((a, start))
            if end < b:
                kept.append((end, b))
        self.spans = kept


class Calendar:
    """Free time of all stringers and machines of a workload, less what is started or planned."""

    def __init__(self, workload: Workload, assignments: Iterable[Assignment] = ()) -> None:
        self.workload = workload
        self.stringers = {s.id: FreeTime(s.windows) for s in workload.stringers}
        self.machines = {m.id: FreeTime(m.windows) for m in workload.machines}
        for a in (*started_assignments(workload), *assignments):
            self.take(a)

    def take(self, assignment: Assignment) -> None:
        """Book an assignment."""
        self.stringers[assignment.stringer].take(assignment.start, assignment.end)
        self.machines[assignment.machine].take(assignment.start, assignment.end)

    def earliest(self, stringer: str, machine: str | None, start: int, length: int) -> int | None:
        """Give the first minute from `start` on at which both are free for `length` minutes.

        Without a machine only the stringer is looked at.  None when there is no such minute.
        """
        its = [ALWAYS] if machine is None else self.machines[machine].spans
        return first_common(self.stringers[stringer].spans, its, start, length)

    def latest(self, stringer: str, machine: str, start: int, length: int) -> int:
        """Give the last minute up to `start` at which both are free for `length` minutes.

        Raises
        ------
        ValueError
            When there is no such minute.
        """
        common = (
            (max(a, its_a), min(start, b - length, its_b - length))
            for a, b in self.stringers[stringer].spans
            for its_a, its_b in self.machines[machine].spans
        )
        return max(last for first, last in common if first <= last)


def first_common(mine: Iterable[Span], its: Iterable[Span], start: int, length: int) -> int | None:
    """Give the first minute from `start` on that begins `length` minutes in one span of each list."""
    best: int | None = None
    for a, b in mine:
        if b - max(a, start) < length:
            continue
        if best is not None and a >= best:
            break
        at = _first_fit(its, max(a, start), b, length)
        if at is not None and (best is None or at < best):
            best = at
    return best


def started_assignments(workload: Workload) -> list[Assignment]:
    """Give the assignments of the racquets that are on a machine now."""
    return [
        Assignment(
            job=j.id,
            stringer=j.started.stringer,
            machine=j.started.machine,
            start=j.started.start,
            end=j.started.end,
        )
        for j in workload.jobs
        if j.started is not None
    ]


def horizon(workload: Workload) -> int:
    """Give a minute by which some best plan has ended.

    From the last opening of any window on, jobs shifted to the left follow one another without a gap.  A
    wish for fresh strings opens like a window, and so does the moment from which no later end costs less.
    """
    opened = [a for s in workload.stringers for a, _ in s.windows]
    opened += [a for m in workload.machines for a, _ in m.windows or ()]
    opened += [earliest_start(workload, job) for job in workload.jobs]
    opened += [job.started.end for job in workload.jobs if job.started is not None]
    opened += [job.fresh_from for job in workload.jobs if job.fresh_from is not None]
    if later_may_cost_less(workload):
        opened.append(workload.now + QUEUE_MOST)
    longest = (max(lengths(workload, job).values(), default=0) for job in workload.jobs)
    return min(last_minute(workload), max(opened, default=workload.now) + sum(longest))


def lengths(workload: Workload, job: Job) -> dict[str, int]:
    """Give the bench minutes of `job` by stringer id: what is started takes what it takes."""
    if job.started is not None:
        return dict.fromkeys(workload.stringer_by_id, job.started.end - job.started.start)
    return {s.id: bench_minutes(job, s) for s in workload.stringers}


def still_fits(workload: Workload, calendar: Calendar, a: Assignment) -> bool:
    """Whether an assignment of some earlier plan keeps every rule and finds its bench free."""
    job = workload.job_by_id.get(a.job)
    stringer = workload.stringer_by_id.get(a.stringer)
    machine = workload.machine_by_id.get(a.machine)
    if job is None or stringer is None or machine is None or job.started is not None:
        return False
    return (
        a.start >= earliest_start(workload, job)
        and a.end - a.start == bench_minutes(job, stringer)
        and job.may_go_to(a.stringer, a.machine)
        and inside(a.start, a.end, tuple(calendar.stringers[a.stringer].spans))
        and inside(a.start, a.end, tuple(calendar.machines[a.machine].spans))
    )


def _first_fit(spans: Iterable[Span], start: int, end: int, length: int) -> int | None:
    for a, b in spans:
        at = max(a, start)
        if at + length > end:
            return None
        if at + length <= b:
            return at
    return None
