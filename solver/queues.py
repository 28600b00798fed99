"""The queues of the plan in force, and where a new job could go in them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from solver.contract.calendar import ALWAYS, first_common, started_assignments
from solver.contract.plan import Assignment, Plan
from solver.contract.points import Points
from solver.contract.workload import Job, Span, Stringer, Workload, bench_minutes, earliest_start, may_string
from solver.judge.costs import added_by_bench, job_cost, leaving_out_cost

POSITIONS = 4


@dataclass(frozen=True, kw_only=True, slots=True)
class Sooner:
    """A way to have the job sooner by making others wait.

    `place` is where the job would go, `moved` the new places of the jobs that wait for it, `price` the
    points that this costs the others, `breaks` the jobs that become late or break a promise by it,
    `left_out` those of them for which no time is left. What the rest of a bag then saves is not counted.
    """

    place: Assignment
    moved: tuple[Assignment, ...]
    price: int
    breaks: tuple[str, ...]
    left_out: tuple[str, ...] = ()


class Queues:
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
        """Put the job before the queue's k-th; what is in its way follows in order where it fits, or is left out."""
        length = bench_minutes(job, stringer)
        started_end = max((a.end for a in self.queues[stringer.id] if not _is_open(self.workload, a)), default=0)
        cursor = max(self._turn(job, stringer), queue[k - 1].end if k else started_end)
        start = self._next(stringer, machine, cursor, length)
        if start is None:
            return None
        place = _place(job, stringer, machine, start, length)
        cursor, moved, left_out = place.end, [], []
        for a in queue[k:]:
            if a.end <= place.start:
                continue
            if a.start >= cursor:
                break
            at = self._next(stringer, a.machine, max(cursor, a.start), a.end - a.start)
            if at is None:
                left_out.append(a)
                continue
            cursor = at + a.end - a.start
            moved.append((a, _moved(a, at)))
        return self._priced(place, moved, left_out, points)

    def _next(self, stringer: Stringer, machine: str, start: int, length: int) -> int | None:
        """Give the first time from `start` on in a window of the stringer at which the machine is not others'."""
        key = stringer.id, machine
        if key not in self._without_others:
            others = [a for a in self.machine_use[machine] if a.stringer != stringer.id]
            self._without_others[key] = _left(self.workload.machine_by_id[machine].windows, others)
        return first_common(stringer.windows, self._without_others[key], start, length)

    def _priced(
        self, place: Assignment, moved: list[tuple[Assignment, Assignment]], left_out: list[Assignment], points: Points
    ) -> Sooner:
        out = tuple(a.job for a in left_out)
        price, breaks = 0, list(out)
        for a in left_out:
            other = self.workload.job_by_id[a.job]
            placed = sum(job_cost(self.workload, other, a, points).values())
            price += leaving_out_cost(self.workload, other, points) - placed
        for before, after in moved:
            other = self.workload.job_by_id[before.job]
            was, becomes = (job_cost(self.workload, other, a, points) for a in (before, after))
            price += sum(becomes.values()) - sum(was.values())
            if any(
                wanted is not None and after.end > max(before.end, wanted) for wanted in (other.due, other.promised)
            ):
                breaks.append(other.id)
        return Sooner(place=place, moved=tuple(b for _, b in moved), price=price, breaks=tuple(breaks), left_out=out)


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
