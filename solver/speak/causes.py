"""The one sentence that says why a job is late, left out or breaks its promise."""

from collections.abc import Sequence
from dataclasses import replace

from solver.contract.calendar import ALWAYS, Calendar, first_common
from solver.contract.plan import Assignment, Plan
from solver.contract.workload import (
    Job,
    Workload,
    bench_minutes,
    earliest_start,
    late_from,
    may_hold,
    may_string,
)
from solver.judge.troubles import Trouble
from solver.speak.pins import freed, is_pinned, pinned_with
from solver.speak.speech import Speech


class Causes:
    """Finds the first thing that stands in the way of a job, from the firmest to the softest."""

    def __init__(self, workload: Workload, plan: Plan, say: Speech) -> None:
        self.workload, self.plan, self.say = workload, plan, say
        self.clock = say.clock
        self.places = plan.by_job()
        self.free = Calendar(workload)
        self.soonest: dict[str, Assignment | None] = {}

    def of(self, trouble: Trouble) -> str:
        """Give the reason of one trouble in a sentence."""
        job = self.workload.job_by_id[trouble.job]
        wanted = {"promise": job.promised, "tight": job.due}.get(trouble.kind, late_from(job))
        if wanted is not None and wanted <= self.workload.now and job.started is None and self._alone(job) is not None:
            which = "promised" if trouble.kind == "promise" else "needed-by"
            why = self._lifted(job, None) or self._in_turn(job, None) or self._pinned(job, None) or self._queue(job)
            return f"Its {which} time has passed. {why}"
        for find in (
            *(self._started, self._lifted, self._nobody, self._even_alone),
            *(self._in_turn, self._pinned, self._machine_out),
        ):
            if (reason := find(job, wanted)) is not None:
                return reason
        return self._queue(job)

    def _nobody(self, job: Job, wanted: int | None) -> str | None:
        if not self.workload.stringers:
            return "No stringer is on the team."
        if not may_string(self.workload, job):
            return "None of the stringers who may take it is on the team."
        if not may_hold(self.workload, job):
            return "None of the machines that may take it is here."
        if self._alone(job) is None:
            return self._no_hours(job)
        return None

    def _no_hours(self, job: Job) -> str:
        ends = [end for s in may_string(self.workload, job) for _, end in s.windows]
        if not ends or max(ends) <= earliest_start(self.workload, job):
            return "Nobody who may take it works any more after it can start."
        if not any(m.windows is None or m.windows for m in may_hold(self.workload, job)):
            return "Every machine that may take it is out of service."
        return "No stringer and machine that may take it are at work together for long enough."

    def _started(self, job: Job, wanted: int | None) -> str | None:
        if job.started is None:
            return None
        where, who = self.say.machine(job.started.machine), self.say.name(job.started.stringer)
        return f"It is on {where} with {who} until {self.clock(job.started.end)}."

    def _even_alone(self, job: Job, wanted: int | None) -> str | None:
        soonest = self._alone(job)
        if wanted is None or soonest is None or soonest.end <= wanted:
            return None
        ready = earliest_start(self.workload, job)
        why = self._narrowed(job, soonest)
        if not why and soonest.start > ready:
            why = f", since nobody who may take it can start before {self.clock(soonest.start)}"
        elif not why and job.ready_from >= self.workload.now:
            why = f", since it cannot start before {self.clock(ready)}"
        return f"Even alone it could not be ready before {self.clock(soonest.end)}{why}."

    def _narrowed(self, job: Job, soonest: Assignment) -> str:
        """Name the pin where alone, but for it, the job would be ready sooner."""
        free = _soonest(self.workload, self.free, freed(job)) if is_pinned(job) else None
        if free is None or free.end >= soonest.end:
            return ""
        kept, who = self._kept(job), "who" if job.pinned_stringer else "which"
        opens = f", {who} cannot start before {self.clock(soonest.start)}"
        is_off = soonest.start > earliest_start(self.workload, job)
        return f", since {kept[0].lower()}{kept[1:]}{opens if is_off else ''}"

    def _in_turn(self, job: Job, wanted: int | None) -> str | None:
        mine, ahead = self.places.get(job.id), [self.places[name] for name in job.after if name in self.places]
        last = max((a for a in ahead if mine and a.stringer == mine.stringer), key=lambda a: a.end, default=None)
        if last is None:
            return None
        return f"By hand it comes after {self.say.name(last.job)}, which is done at {self.clock(last.end)}."

    def _lifted(self, job: Job, wanted: int | None) -> str | None:
        """Name the pin where the job would be ready sooner without it, or its bag without theirs, all else as it is."""
        if not is_pinned(job):
            return None
        mine, alone, with_bag = self.places.get(job.id), self._next_place(freed(job)), self._with_bag(job)
        free = min(filter(None, (alone, with_bag)), key=lambda a: a.end, default=None)
        if free is None or (mine is not None and mine.end <= free.end):
            return None
        what = "that" if len(pinned_with(self.workload, job)) > 1 else "the pin"
        could = f"Without {what} {self.say.name(free.stringer)} could have it ready by {self.clock(free.end)}."
        return f"{self._pinned(job, wanted) or f'{self._kept(job)}.'} {could}"

    def _with_bag(self, job: Job) -> Assignment | None:
        """Give the job's place where all the racquets pinned with it are free, one after the other as they stand."""
        bag = pinned_with(self.workload, job)
        names = {one.id for one in bag}
        rest = [a for a in self._planned() if a.job not in names]
        calendar = Calendar(self.workload, rest)
        for one in sorted(bag, key=lambda one: self.places[one.id].start if one.id in self.places else 10**12):
            place = _soonest(self.workload, calendar, freed(one))
            if one.id == job.id or place is None:
                return place
            calendar.take(place)
        return None

    def _kept(self, job: Job) -> str:
        """Say with whom, or where, the job is pinned, and how many of the player's with it."""
        many = len(pinned_with(self.workload, job))
        where = self._pin(job)
        if many == 1:
            return f"It is pinned to {where}"
        return f"You keep this player's {many} racquets {'with' if job.pinned_stringer else 'on'} {where}"

    def _pin(self, job: Job) -> str:
        return self.say.name(job.pinned_stringer) if job.pinned_stringer else self.say.machine(job.pinned_machine or "")

    def _pinned(self, job: Job, wanted: int | None) -> str | None:
        if not is_pinned(job):
            return None
        if (before := self._before(job, [job.pinned_stringer], [job.pinned_machine])) is None:
            return None
        return f"{self._kept(job)}, behind {self.say.name(before.job)} until {self.clock(before.end)}."

    def _machine_out(self, job: Job, wanted: int | None) -> str | None:
        machines = may_hold(self.workload, job)
        since = earliest_start(self.workload, job)
        limit = wanted if wanted is not None else since
        back = [_opens(m.windows, since) for m in machines]
        if any(opens is not None and opens <= since for opens in back):
            return None
        known = [opens for opens in back if opens is not None and opens < 10**9]
        if not known or min(known) < limit - job.minutes:
            return None
        which = "The only machine that may take it is" if len(machines) == 1 else "Every machine that may take it is"
        return f"{which} out until {self.clock(min(known))}."

    def _queue(self, job: Job) -> str:
        free, mine = self._next_place(job), self.places.get(job.id)
        if mine is not None and mine.start <= earliest_start(self.workload, job):
            return f"It is to start at once, {self._where(mine)}."
        if free is not None and mine is not None and free.start < mine.start:
            could = f"{self.say.name(free.stringer)} could start it at {self.clock(free.start)}; the plan"
            if free.stringer == mine.stringer:
                return f"{could} has it at {self.clock(mine.start)}."
            own = ", with whom the player's racquets are" if mine.stringer in self._own(job) else ""
            return f"{could} leaves it to {self.say.name(mine.stringer)}{own}."
        count = sum(1 for a in self.plan.assignments if self._is_before(a, job))
        most = f" with {count} racquet{'s' if count != 1 else ''} that the plan puts first" if count else ""
        if free is None:
            return f"Everybody who may take it is busy until the end of their hours{most}."
        return f"No free stringer before {self.clock(free.start)}: all are busy{most}."

    def _where(self, place: Assignment) -> str:
        return f"with {self.say.name(place.stringer)} on {self.say.machine(place.machine)}"

    def _own(self, job: Job) -> set[str]:
        """Give the player's own stringers, and those who have others of the player's racquets in the plan."""
        known = self.workload.history.get(job.player)
        others = {other.id for other in self.workload.jobs if other.player == job.player and other.id != job.id}
        return {*(known.stringers if known else ()), *(a.stringer for a in self.plan.assignments if a.job in others)}

    def _is_before(self, a: Assignment, job: Job) -> bool:
        mine = self.places.get(job.id)
        until = mine.start if mine is not None else 10**12
        return a.job != job.id and job.allows_stringer(a.stringer) and self.workload.now < a.end and a.start < until

    def _before(self, job: Job, stringers: Sequence[str | None], machines: Sequence[str | None]) -> Assignment | None:
        mine = self.places.get(job.id)
        until = mine.start if mine is not None else 10**12
        there = [
            a
            for a in self.plan.assignments
            if a.job != job.id and a.start < until and (a.stringer in stringers or a.machine in machines)
        ]
        return max(there, key=lambda a: a.end, default=None)

    def _alone(self, job: Job) -> Assignment | None:
        """Give the earliest place with nothing else in the plan but what is on a machine now."""
        if job.started is not None:
            return self.places.get(job.id)
        if job.id not in self.soonest:
            self.soonest[job.id] = _soonest(self.workload, self.free, job)
        return self.soonest[job.id]

    def _next_place(self, job: Job) -> Assignment | None:
        """Give the earliest place beside everything else in the plan."""
        rest = [a for a in self._planned() if a.job != job.id]
        return _soonest(self.workload, Calendar(self.workload, rest), replace(job, started=None))

    def _planned(self) -> list[Assignment]:
        """Give the places of what nobody has begun."""
        return [a for a in self.plan.assignments if self.workload.job_by_id[a.job].started is None]


def _soonest(workload: Workload, calendar: Calendar, job: Job) -> Assignment | None:
    ready, machines = earliest_start(workload, job), may_hold(workload, job)
    best: Assignment | None = None
    for stringer in may_string(workload, job):
        length = bench_minutes(job, stringer)
        least = calendar.earliest(stringer.id, None, ready, length)
        if least is None or (best is not None and least + length >= best.end):
            continue
        for machine in (*(m for m in machines if m.id == stringer.home), *machines):
            start = calendar.earliest(stringer.id, machine.id, ready, length)
            if start is not None and (best is None or start + length < best.end):
                best = Assignment(job=job.id, stringer=stringer.id, machine=machine.id, start=start, end=start + length)
            if start == least:
                break
    return best


def _opens(windows: Sequence[tuple[int, int]] | None, at: int) -> int | None:
    """Give the first minute from `at` on inside a window; None when there is none."""
    return first_common(windows if windows is not None else (ALWAYS,), (ALWAYS,), at, 1)
