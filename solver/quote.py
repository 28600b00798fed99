"""When a new job would be ready: without disturbing anybody, or sooner at a price to others."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from solver.contract.calendar import ALWAYS, first_common, started_assignments
from solver.contract.plan import Assignment, Plan
from solver.contract.points import Points
from solver.contract.workload import Job, Span, Stringer, Workload, bench_minutes, earliest_start, late_from, may_string
from solver.judge.costs import added_by_bench, job_cost

POSITIONS = 4
OFFERS = 3


@dataclass(frozen=True, kw_only=True, slots=True)
class Sooner:
    """A way to have the job sooner by making others wait.

    `place` is where the job would go, `moved` the new places of the jobs that wait for it, `price` the
    points that this costs the others, `breaks` the jobs that become late or break a promise by it.
    """

    place: Assignment
    moved: tuple[Assignment, ...]
    price: int
    breaks: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Quote:
    """Where a new job would go.

    `place` disturbs nobody (None when there is no such place: `why_not` says why), `late` is minutes
    past `latest` there (past `due` where nothing is later), `tight` minutes past `due` of a place that is
    not late, `added` the points it adds. `sooner` lists what would be earlier,
    the earliest last, each with its price to the others. `best` costs least in all, the price to
    others counted in: what the next plan is likely to do.
    """

    place: Assignment | None
    late: int = 0
    tight: int = 0
    added: int = 0
    why_not: str = ""
    sooner: tuple[Sooner, ...] = ()
    best: Sooner | None = None


def quote(workload: Workload, plan: Plan, job: Job, *, points: Points | None = None) -> Quote:
    """Quote a job that is not in the workload yet against the plan in force.

    Parameters
    ----------
    workload : Workload
        The desk as it is; times in whole minutes.
    plan : Plan
        What is planned now; nothing of it is moved for the quote itself.
    job : Job
        The new job, with an id that the workload does not have.
    points : Points, optional
        What each shortcoming costs.

    Returns
    -------
    Quote
        The place of least cost among the earliest free ones of each stringer, and up to three sooner ones.
    """
    points = points or workload.points
    book = _Book(workload, plan)
    free = [Sooner(place=place, moved=(), price=0, breaks=()) for place in book.free_places(job)]
    pushed = list(book.sooner_places(job, points))
    if not free and not pushed:
        return Quote(place=None, why_not=_why_not(workload, job))

    def cost(offer: Sooner) -> tuple[int, int, int, str]:
        points_in_all = book.added(job, offer.place, points) + offer.price
        return points_in_all, len(offer.moved), offer.place.end, offer.place.stringer

    best = min((*free, *pushed), key=cost)
    if not free:
        return Quote(place=None, why_not=_why_not(workload, job), sooner=_front(iter(pushed)), best=best)
    place = min(free, key=cost).place
    return Quote(
        place=place,
        late=(late := _past(place.end, late_from(job))),
        tight=0 if late else _past(place.end, job.due),
        added=book.added(job, place, points),
        sooner=_front(s for s in pushed if s.place.end < place.end),
        best=best,
    )


def _past(end: int, wanted: int | None) -> int:
    return 0 if wanted is None else max(0, end - wanted)


def _why_not(workload: Workload, job: Job) -> str:
    if not may_string(workload, job):
        return "No stringer may take it: look at its list and its pin."
    if not any(job.allows_machine(m.id) for m in workload.machines):
        return "No machine may take it: look at its list and its pin."
    return "No stringer and machine are free together for long enough in the hours that are known."


def _front(found: Iterator[Sooner]) -> tuple[Sooner, ...]:
    """Keep the offers that are not beaten in both end and price; the cheapest first."""
    kept: list[Sooner] = []
    for offer in sorted(found, key=lambda s: (s.price, s.place.end)):
        if not kept or offer.place.end < kept[-1].place.end:
            kept.append(offer)
    return tuple(kept) if len(kept) <= OFFERS else (kept[0], kept[len(kept) // 2], kept[-1])


class _Book:
    """The plan in force by stringer, and the time that is free beside it."""

    def __init__(self, workload: Workload, plan: Plan) -> None:
        self.workload = workload
        self.queues: dict[str, list[Assignment]] = {s.id: [] for s in workload.stringers}
        self.machine_use: dict[str, list[Assignment]] = {m.id: [] for m in workload.machines}
        self.of_player: dict[str, list[Assignment]] = {}
        planned = [a for a in plan.assignments if _is_open(workload, a)]
        for a in sorted((*planned, *started_assignments(workload)), key=lambda a: a.start):
            self.queues[a.stringer].append(a)
            self.machine_use[a.machine].append(a)
            self.of_player.setdefault(workload.job_by_id[a.job].player, []).append(a)
        self.stringer_free = {s.id: _left(s.windows, self.queues[s.id]) for s in workload.stringers}
        self._without_others: dict[tuple[str, str], list[Span]] = {}
        self.machine_free = {m.id: _left(m.windows, self.machine_use[m.id]) for m in workload.machines}

    def free_places(self, job: Job) -> Iterator[Assignment]:
        """Give the earliest free place at each stringer and machine, home if it may; also from when fresh."""
        ready = earliest_start(self.workload, job)
        for since in {ready, max(ready, job.fresh_from or 0)}:
            for stringer in may_string(self.workload, job):
                yield from self._free_with(job, stringer, since)

    def _free_with(self, job: Job, stringer: Stringer, since: int) -> Iterator[Assignment]:
        length, since = bench_minutes(job, stringer), max(since, self._turn(job, stringer))
        for machine in self._machines(job, stringer):
            mine, its = self.stringer_free[stringer.id], self.machine_free[machine]
            start = first_common(mine, its, since, length)
            if start is None:
                continue
            yield _place(job, stringer, machine, start, length)
            if machine == stringer.home:
                break

    def sooner_places(self, job: Job, points: Points) -> Iterator[Sooner]:
        """Give what putting the job into the queue of each stringer would do, at a few positions."""
        for stringer in may_string(self.workload, job):
            machine = next(self._machines(job, stringer), None)
            queue = [a for a in self.queues[stringer.id] if _is_open(self.workload, a)]
            if machine is None:
                continue
            for k in sorted({len(queue) * n // POSITIONS for n in range(POSITIONS)}):
                found = self._push(job, stringer, machine, queue, k, points)
                if found is not None:
                    yield found

    def added(self, job: Job, place: Assignment, points: Points) -> int:
        """Give the points that the job adds at a place, continuity of its player included."""
        alone = sum(job_cost(self.workload, job, place, points).values())
        used = {(a.stringer, a.machine) for a in self.of_player.get(job.player, [])}
        return alone + added_by_bench(self.workload, job.player, used, (place.stringer, place.machine), points)

    def _turn(self, job: Job, stringer: Stringer) -> int:
        ahead = (a.end for a in self.queues[stringer.id] if a.job in job.after)
        return max([earliest_start(self.workload, job), *ahead])

    def _machines(self, job: Job, stringer: Stringer) -> Iterator[str]:
        names = [m.id for m in self.workload.machines if job.allows_machine(m.id)]
        yield from sorted(names, key=lambda name: name != stringer.home)

    def _push(
        self, job: Job, stringer: Stringer, machine: str, queue: list[Assignment], k: int, points: Points
    ) -> Sooner | None:
        """Put the job before the queue's k-th; what is in its way follows in order at the next time that fits."""
        length = bench_minutes(job, stringer)
        started_end = max((a.end for a in self.queues[stringer.id] if not _is_open(self.workload, a)), default=0)
        cursor = max(self._turn(job, stringer), queue[k - 1].end if k else started_end)
        start = self._next(stringer, machine, cursor, length)
        if start is None:
            return None
        place = _place(job, stringer, machine, start, length)
        cursor, moved = place.end, []
        for a in queue[k:]:
            if a.end <= place.start:
                continue
            if a.start >= cursor:
                break
            at = self._next(stringer, a.machine, max(cursor, a.start), a.end - a.start)
            if at is None:
                return None
            cursor = at + a.end - a.start
            moved.append((a, _moved(a, at)))
        return self._priced(place, moved, points)

    def _next(self, stringer: Stringer, machine: str, start: int, length: int) -> int | None:
        """Give the first time from `start` on in a window of the stringer at which the machine is not others'."""
        key = stringer.id, machine
        if key not in self._without_others:
            others = [a for a in self.machine_use[machine] if a.stringer != stringer.id]
            self._without_others[key] = _left(self.workload.machine_by_id[machine].windows, others)
        return first_common(stringer.windows, self._without_others[key], start, length)

    def _priced(self, place: Assignment, moved: list[tuple[Assignment, Assignment]], points: Points) -> Sooner:
        price, breaks = 0, []
        for before, after in moved:
            other = self.workload.job_by_id[before.job]
            was, becomes = (job_cost(self.workload, other, a, points) for a in (before, after))
            price += sum(becomes.values()) - sum(was.values())
            if any(
                wanted is not None and after.end > max(before.end, wanted) for wanted in (other.due, other.promised)
            ):
                breaks.append(other.id)
        return Sooner(place=place, moved=tuple(b for _, b in moved), price=price, breaks=tuple(breaks))


def _is_open(workload: Workload, a: Assignment) -> bool:
    job = workload.job_by_id.get(a.job)
    known = a.stringer in workload.stringer_by_id and a.machine in workload.machine_by_id
    return job is not None and job.started is None and known


def _left(windows: Sequence[Span] | None, use: list[Assignment]) -> list[Span]:
    """Give the stretches of the windows that no assignment takes; `use` is in order of start."""
    left = []
    for a, b in sorted(windows) if windows is not None else (ALWAYS,):
        at = a
        for taken in use:
            if taken.end <= at or taken.start >= b:
                continue
            if taken.start > at:
                left.append((at, taken.start))
            at = taken.end
        if at < b:
            left.append((at, b))
    return left


def _place(job: Job, stringer: Stringer, machine: str, start: int, length: int) -> Assignment:
    return Assignment(job=job.id, stringer=stringer.id, machine=machine, start=start, end=start + length)


def _moved(a: Assignment, start: int) -> Assignment:
    return Assignment(job=a.job, stringer=a.stringer, machine=a.machine, start=start, end=start + a.end - a.start)
