"""Quick rules: take the jobs in a fixed order and give each to the bench that suits it best now."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping

from solver.contract.calendar import Calendar, started_assignments, still_fits
from solver.contract.in_turn import behind, in_their_turn
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
    places = {a.job: a for a in previous}
    for a in sorted(places.values(), key=lambda a: a.start):
        if a.job not in desk.booked and still_fits(workload, desk.calendar, a) and _in_turn(workload, a, places):
            desk.book(a)
    rest = (j for j in _open_jobs(workload) if j.id not in desk.booked)
    return _dispatch(workload, points, sorted(rest, key=urgency), soonest=False, desk=desk)


def _in_turn(workload: Workload, a: Assignment, places: Mapping[str, Assignment]) -> bool:
    ahead = (places[name] for name in workload.job_by_id[a.job].after if name in places)
    return all(other.stringer != a.stringer or other.end <= a.start for other in ahead)


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
    for job in in_their_turn(workload, order):
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
        self.booked = {a.job: a for a in self.assignments}
        self.behind = behind(workload)
        self.benches: dict[str, set[Bench]] = defaultdict(set)
        for a in self.assignments:
            self._remember(a)

    def book(self, a: Assignment) -> None:
        """Put an assignment into the plan."""
        self.calendar.take(a)
        self.assignments.append(a)
        self.booked[a.job] = a
        self._remember(a)

    def offers(self, job: Job) -> Iterator[tuple[int, Assignment]]:
        """Give the earliest assignment at each stringer, with what it would add to the costs."""
        for stringer in may_string(self.workload, job):
            offer = self._offer(job, stringer)
            if offer is not None:
                yield offer

    def _offer(self, job: Job, stringer: Stringer) -> tuple[int, Assignment] | None:
        length, (ready, until) = bench_minutes(job, stringer), self._turn(job, stringer)
        soonest = self.calendar.earliest(stringer.id, None, ready, length)
        best: tuple[int, Assignment] | None = None
        for machine in self._machines(job, stringer) if soonest is not None else ():
            start = self.calendar.earliest(stringer.id, machine, ready, length)
            if start is None or start + length > until:
                continue
            a = Assignment(job=job.id, stringer=stringer.id, machine=machine, start=start, end=start + length)
            cost = self._added(job, a)
            if best is None or cost < best[0]:
                best = cost, a
            if start == soonest:
                break
        return best

    def _turn(self, job: Job, stringer: Stringer) -> tuple[int, int]:
        """Give from when on a job may start with a stringer, and when it has to be done, by the turns that are kept."""
        ready = earliest_start(self.workload, job)
        ahead, after = ([self.booked.get(n) for n in names] for names in (job.after, self.behind[job.id]))
        ends = [a.end for a in ahead if a is not None and a.stringer == stringer.id]
        starts = [a.start for a in after if a is not None and a.stringer == stringer.id]
        return max([ready, *ends]), min([_NEVER, *starts])

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
