"""A day at three benches with uncertain bench times, planned by the real search, promised by the real margins."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from math import exp
from random import Random

import solver
from desk.queries.promise.promises_so_far import PromisesSoFar
from desk.trade.bench.promise import PromiseKept, PromiseSettings, learned_correction
from solver.contract.points import Points
from solver.contract.workload import History, Job, Machine, Started, Stringer, Workload, bench_minutes
from solver.dispatch import repair
from solver.search import improve

MIDNIGHT = datetime(2031, 5, 12, tzinfo=UTC)
OPENS, LAST_DROP_OFF, CLOSES = 480, 1080, 1400
SPREAD = 0.15
STEPS = 300

TEAM = tuple(
    Stringer(id=f"S{number}", pace=pace, home=f"M{number}", windows=((480, 720), (750, 1400)))
    for number, pace in enumerate((100, 95, 106))
)
MACHINES = tuple(Machine(id=f"M{number}") for number in range(3))


def searched_plan(workload: Workload, previous: solver.Plan | None, *, steps: int) -> solver.Plan:
    """Return what the planner's search finds in some steps: no proof, so that a day is played in a second."""
    start = None if previous is None else repair(workload, Points(), previous.assignments)[0]
    found = improve(workload, Points(), start, seconds=60, steps=steps)
    return solver.Plan(status="feasible", assignments=found.assignments, unplaced=found.unplaced, costs={})


def as_time(minute: int) -> datetime:
    return MIDNIGHT + timedelta(minutes=minute)


def as_minute(at: datetime) -> int:
    return int((at - MIDNIGHT).total_seconds() // 60)


@dataclass(frozen=True)
class Given:
    """A promise with what it was reckoned from, all in minutes."""

    ready: int
    planned_end: int
    margin: int


@dataclass
class Running:
    """A racquet on a machine: what the plan expects, and when it will really be done."""

    started: Started
    real_end: int


class PlayedDay:
    """Plays one day minute by minute; `given` and `ready` tell afterwards what was promised and what came."""

    def __init__(self, seed: int, *, racquets_per_hour: float) -> None:
        self.random = Random(seed)
        self.visits = self._visits(racquets_per_hour)
        self.jobs: dict[str, Job] = {}
        self.running: dict[str, Running] = {}
        self.ready: dict[str, int] = {}
        self.given: dict[str, Given] = {}
        self.history: dict[str, History] = {}
        self.plan = solver.Plan(status="empty", assignments=(), costs={})

    def _visits(self, racquets_per_hour: float) -> list[tuple[int, int, bool]]:
        """Return (minute, racquets, sent from a court) of every visit; 7 in 100 racquets come from a court."""
        visits, minute = [], float(OPENS)
        while (minute := minute + self.random.expovariate(racquets_per_hour / 60 / 2.5)) < LAST_DROP_OFF:
            on_court = self.random.random() < 0.07 * 2.5
            visits.append((int(minute), 1 if on_court else self.random.choice((1, 2, 2, 3, 4)), on_court))
        return visits

    def play(self) -> None:
        for now in range(OPENS, CLOSES):
            finished = [name for name, one in self.running.items() if one.real_end <= now]
            for name in finished:
                self.ready[name] = now
                del self.running[name]
            came = [visit for visit in self.visits if visit[0] == now]
            for _, racquets, on_court in came:
                self._drop_off(now, racquets, on_court)
            waits = self._start(now)
            if finished or came or (waits and now % 3 == 0):
                self._plan(now)
                self._start(now)

    def _drop_off(self, now: int, racquets: int, on_court: bool) -> None:
        player, so_far = f"P{self.random.randrange(40)}", self._so_far()
        for _ in range(racquets):
            job = Job(
                id=f"J{len(self.jobs):03}",
                player=player,
                minutes=15 if on_court else self.random.choice((20, 20, 22, 24, 25)),
                ready_from=now,
                due=now + (15 if on_court else self.random.choice((120, 180, 240, 300))),
                weight=20 if on_court else 5,
            )
            place = solver.quote(self._workload(now), self.plan, job).place
            assert place is not None
            self.jobs[job.id] = self._promised(job, place, now, so_far)
            self.plan = replace(self.plan, assignments=(*self.plan.assignments, place))

    def _promised(self, job: Job, place: solver.Assignment, now: int, so_far: PromisesSoFar) -> Job:
        ahead = sum(1 for a in self.plan.assignments if a.stringer == place.stringer and now < a.end <= place.start)
        due_at, end_at = as_time(job.due or 0), as_time(place.end)
        told = so_far.tell(end_at, jobs_ahead=ahead, minutes=job.minutes, needed_by_at=due_at)
        self.given[job.id] = Given(as_minute(told.ready_at), place.end, told.margin_minutes)
        return replace(job, promised=as_minute(told.ready_at))

    def _so_far(self) -> PromisesSoFar:
        kept = [
            PromiseKept(given.planned_end, given.margin, self.ready[name])
            for name, given in self.given.items()
            if name in self.ready
        ]
        return PromisesSoFar(correction=learned_correction(kept), promises=len(kept), settings=PromiseSettings())

    def _workload(self, now: int) -> Workload:
        planned = self.plan.by_job()
        jobs = []
        for name, job in self.jobs.items():
            if name in self.running:
                jobs.append(replace(job, started=self._as_seen(self.running[name].started, now)))
            elif name not in self.ready:
                stringer = planned[name].stringer if name in planned else None
                jobs.append(replace(job, planned_stringer=stringer))
        return Workload(now=now, stringers=TEAM, machines=MACHINES, jobs=tuple(jobs), history=self.history)

    @staticmethod
    def _as_seen(started: Started, now: int) -> Started:
        """One that takes longer than expected is thought to need two minutes more."""
        return started if started.end > now else replace(started, end=now + 2)

    def _plan(self, now: int) -> None:
        workload = self._workload(now)
        open_jobs = {job.id for job in workload.jobs}
        previous = replace(self.plan, assignments=tuple(a for a in self.plan.assignments if a.job in open_jobs))
        self.plan = searched_plan(workload, previous, steps=STEPS)

    def _start(self, now: int) -> bool:
        """Start what is planned by now; tell whether something waits for a bench that runs late."""
        waits = False
        for place in sorted(self.plan.assignments, key=lambda a: a.start):
            if place.start > now or place.job in self.running or place.job in self.ready:
                continue
            busy = [one.started for one in self.running.values()]
            if any(one.stringer == place.stringer or one.machine == place.machine for one in busy):
                waits = True
                continue
            self._put_on(place, now)
        return waits

    def _put_on(self, place: solver.Assignment, now: int) -> None:
        job = self.jobs[place.job]
        stringer = next(one for one in TEAM if one.id == place.stringer)
        expected = bench_minutes(job, stringer)
        real = max(5, round(expected * exp(self.random.gauss(0, SPREAD))))
        started = Started(stringer=place.stringer, machine=place.machine, start=now, end=now + expected)
        self.running[job.id] = Running(started, now + real)
        past = self.history.get(job.player, History())
        self.history[job.player] = History(
            stringers=tuple(sorted({*past.stringers, place.stringer})),
            machines=tuple(sorted({*past.machines, place.machine})),
        )


def slacks(days: Sequence[PlayedDay]) -> list[int]:
    """Return the minutes from ready to promised of every racquet; negative where the promise broke."""
    return [given.ready - day.ready[name] for day in days for name, given in day.given.items()]
