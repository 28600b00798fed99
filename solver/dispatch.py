"""Quick rules: take the jobs in a fixed order and give each to the bench that suits it best now."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator

from solver.contract.calendar import Calendar, started_assignments, still_fits
from solver.contract.plan import Assignment
from solver.contract.points import Points
from solver.contract.workload import Job, Stringer, Workload, bench_minutes, earliest_start, may_string
from solver.judge.costs import Bench, added_by_bench, job_cost, leaving_out_cost

Draft = tuple[list[Assignment], list[str]]
"""Assignments and the ids of the jobs left out."""
_NEVER = 10**12


def first_come(workload: Workload, points: Points) -> Draft:
    """Serve first come first: each job goes to whoever has it done soonest."""
    order = sorted(_open_jobs(workload), key=lambda j: j.ready_from)
    return _dispatch(workload, points, order, soonest=True)


def earliest_due(workload: Workload, points: Points) -> Draft:
    """Take the earliest due first and give it to the stringer at whom it costs least now."""
    return _dispatch(workload, points, sorted(_open_jobs(workload), key=urgency), soonest=False)


def repair(workload: Workload, points: Points, previous: Iterable[Assignment]) -> Draft:
    """Keep of an earlier plan what still keeps every rule, and place the rest around it."""
    desk = _Desk(workload, points)
    for a in sorted(previous, key=lambda a: a.start):
        if a.job not in desk.done and still_fits(workload, desk.calendar, a):
            desk.book(a)
    rest = (j for j in _open_jobs(workload) if j.id not in desk.done)
    return _dispatch(workload, points, sorted(rest, key=urgency), soonest=False, desk=desk)


def urgency(job: Job) -> tuple[int, int, int]:
    """Order jobs by due time, the heavier first, then by when they are ready."""
    return (_NEVER if job.due is None else job.due, -job.weight, job.ready_from)


def _open_jobs(workload: Workload) -> Iterator[Job]:
    return (j for j in workload.jobs if j.started is None)


def _dispatch(
    workload: Workload, points: Points, order: Iterable[Job], *, soonest: bool, desk: "_Desk | None" = None
) -> Draft:
    desk = desk or _Desk(workload, points)
    left_out = []
    key: Callable[[tuple[int, Assignment]], tuple[int, int]] = (
        (lambda offer: (offer[1].end, offer[0])) if soonest else (lambda offer: (offer[0], offer[1].end))
    )
    for job in order:
        cost, best = min(desk.offers(job), key=key, default=(0, None))
        if best is None or cost > leaving_out_cost(workload, job, points):
            left_out.append(job.id)
        else:
            desk.book(best)
    return desk.assignments, left_out


class _Desk:
    """The plan so far: bookings, and who has been whose stringer and machine."""

    def __init__(self, workload: Workload, points: Points) -> None:
        self.workload, self.points = workload, points
        self.calendar = Calendar(workload)
        self.assignments = started_assignments(workload)
        self.done = {a.job for a in self.assignments}
        self.benches: dict[str, set[Bench]] = defaultdict(set)
        for a in self.assignments:
            self._remember(a)

    def book(self, a: Assignment) -> None:
        """Put an assignment into the plan."""
        self.calendar.take(a)
        self.assignments.append(a)
        self.done.add(a.job)
        self._remember(a)

    def offers(self, job: Job) -> Iterator[tuple[int, Assignment]]:
        """Give the earliest assignment at each stringer, with what it would add to the costs."""
        for stringer in may_string(self.workload, job):
            offer = self._offer(job, stringer)
            if offer is not None:
                yield offer

    def _offer(self, job: Job, stringer: Stringer) -> tuple[int, Assignment] | None:
        length, ready = bench_minutes(job, stringer), earliest_start(self.workload, job)
        soonest = self.calendar.earliest(stringer.id, None, ready, length)
        best: tuple[int, Assignment] | None = None
        for machine in self._machines(job, stringer) if soonest is not None else ():
            start = self.calendar.earliest(stringer.id, machine, ready, length)
            if start is None:
                continue
            a = Assignment(job=job.id, stringer=stringer.id, machine=machine, start=start, end=start + length)
            cost = self._added(job, a)
            if best is None or cost < best[0]:
                best = cost, a
            if start == soonest:
                break
        return best

    def _machines(self, job: Job, stringer: Stringer) -> Iterator[str]:
        """Give the machines that the job may use: the stringer's own first, the player's next."""
        home = stringer.home
        if home is not None and job.allows_machine(home):
            yield home
        known = {machine for _, machine in self.benches[job.player]}
        others = [m.id for m in self.workload.machines if m.id != home and job.allows_machine(m.id)]
        yield from sorted(others, key=lambda name: name not in known)

    def _added(self, job: Job, a: Assignment) -> int:
        alone = sum(job_cost(self.workload, job, a, self.points).values())
        bench = a.stringer, a.machine
        return alone + added_by_bench(self.workload, job.player, self.benches[job.player], bench, self.points)

    def _remember(self, a: Assignment) -> None:
        self.benches[self.workload.job_by_id[a.job].player].add((a.stringer, a.machine))
