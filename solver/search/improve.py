"""`improve`: the best plan that a compiled search finds in the time given."""

import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from solver.calendar import started_assignments
from solver.check import check_plan
from solver.costs import cost_of_assignments
from solver.plan import Assignment, Plan
from solver.points import Points
from solver.search import layout
from solver.search.kernel import ANNEAL, DISPATCH, LOAD, run
from solver.search.schedule import DESCENT, Round, begin_anew, descend, rounds, set_mix, temperatures
from solver.search.state import State
from solver.workload import Workload

clock = time.perf_counter
Progress = Callable[[int], bool | None]
_SLICE = 0.02
"""Seconds of moves between two looks at the clock."""
_REPORT = 0.05


@dataclass(frozen=True, kw_only=True)
class Found:
    """A plan with its total in points; `assignments` hold the started racquets too."""

    assignments: tuple[Assignment, ...]
    unplaced: tuple[str, ...]
    total: int


def improve(
    workload: Workload,
    points: Points,
    start: Sequence[Assignment] | None,
    *,
    seconds: float,
    seed: int = 0,
    steps: int | None = None,
    workers: int = 1,
    on_progress: Progress | None = None,
) -> Found:
    """Improve a plan, or find one, by simulated annealing.

    Parameters
    ----------
    workload : Workload
        What is planned.
    points : Points
        What each shortcoming costs.
    start : sequence of Assignment or None
        A plan to begin with, the started racquets in it or not.  The answer costs no more,
        provided that this keeps the rules.
    seconds : float
        How long to search.
    seed : int
        Where the random numbers begin.
    steps : int or None
        Moves to try at most; with one worker the answer then depends on nothing but the arguments,
        provided that `seconds` are enough for them.
    workers : int
        Threads to search with.
    on_progress : callable or None
        Called with the best total some times a second, on the calling thread; True ends the search.

    Returns
    -------
    Found
        The best plan seen.
    """
    deadline = clock() + seconds
    team = Team(workload, points, start, seed=seed, workers=max(1, workers), deadline=deadline, steps=steps)
    team.work(on_progress)
    return team.found(start)


class Team:
    """The searches of all workers, which share their best plan between rounds."""

    def __init__(
        self,
        workload: Workload,
        points: Points,
        start: Sequence[Assignment] | None,
        *,
        seed: int,
        workers: int,
        deadline: float,
        steps: int | None,
    ) -> None:
        self.workload, self.points, self.steps, self.deadline = workload, points, steps, deadline
        self.from_plan = start is not None
        self.lock = threading.Lock()
        self.stopped = False
        self.states = [State(workload, points, seed + 7919 * i) for i in range(workers)]
        for state in self.states:
            set_mix(state)
            _begin(state, start)
        self.fixed = self._total_of(self.states[0]) - self.states[0].total
        self.best_total = self.states[0].total
        self.best_place = self.states[0].views["best"].copy()

    def _total_of(self, state: State) -> int:
        assignments, left_out = state.assignments()
        everything = started_assignments(self.workload) + assignments
        return sum(cost_of_assignments(self.workload, everything, left_out, self.points).values())

    def work(self, on_progress: Progress | None) -> None:
        """Search until the time, the steps or the caller's patience end."""
        if not self.states[0].names.jobs:
            return
        if len(self.states) == 1:
            self._search(self.states[0], on_progress)
            return
        threads = [threading.Thread(target=self._search, args=(state, None)) for state in self.states]
        for thread in threads:
            thread.start()
        while any(thread.is_alive() for thread in threads):
            threads[0].join(_REPORT)
            if on_progress is not None and not self.stopped:
                self.stopped = bool(on_progress(self.best_total + self.fixed))
        for thread in threads:
            thread.join()

    def found(self, start: Sequence[Assignment] | None) -> Found:
        """Give the best plan of all, or the one begun with where that costs no more."""
        for state in self.states:
            self._share(state)
        self.states[0].views["best"][:] = self.best_place
        assignments, left_out = self.states[0].assignments()
        best = _found(self.workload, self.points, started_assignments(self.workload) + assignments, left_out)
        if start is None:
            return best
        start = [a for a in start if _is_known(self.workload, a)]
        kept = {a.job for a in start}
        missing = [j.id for j in self.workload.jobs if j.id not in kept and j.started is None]
        everything = [a for a in started_assignments(self.workload) if a.job not in kept] + list(start)
        given = _found(self.workload, self.points, everything, missing)
        if given.total >= best.total or _breaks_rules(self.workload, given):
            return best
        return given

    def _share(self, state: State) -> None:
        """Take the team's best plan over, or give it this one's."""
        with self.lock:
            if state.total < self.best_total:
                self.best_total = state.total
                self.best_place[:] = state.views["best"]

    def _take_best(self, state: State) -> None:
        with self.lock:
            state.views["table"][:] = self.best_place
        state.sort_table()
        run(LOAD, state.cells, state.of, 0, 1.0, 1.0)

    def _search(self, state: State, on_progress: Progress | None) -> None:
        began = clock()
        descend(state)
        speed = DESCENT * len(state.names.jobs) / max(clock() - began, 1e-6)
        steps = self.steps if self.steps is not None else (self.deadline - clock()) * speed
        pace = Pace(self, on_progress)
        worker = next(i for i, other in enumerate(self.states) if other is state)
        heat = temperatures(state)
        plan = rounds(heat, len(state.names.jobs), steps, worker=worker, from_plan=self.from_plan)
        for number, one in enumerate(plan):
            if one.is_fresh:
                begin_anew(state)
            elif number:
                self._take_best(state)
            if not pace.run_round(state, one, 1 / (len(plan) - number)):
                break


class Pace:
    """Runs rounds slice by slice, against the clock or a count of steps."""

    def __init__(self, team: Team, on_progress: Progress | None) -> None:
        self.team, self.on_progress = team, on_progress
        self.slice_steps = 2000
        self.reported = clock()

    def run_round(self, state: State, one: Round, part: float) -> bool:
        """Cool once from hot to cold in a part of the time left; False when the search is over."""
        if self.team.steps is not None:
            return self._run_counted(state, one)
        began = clock()
        until = began + (self.team.deadline - began) * part
        while (now := clock()) < until - _SLICE / 4:
            done = (now - began) / (until - began)
            temperature = one.hot * (one.cold / one.hot) ** done
            run(ANNEAL, state.cells, state.of, self.slice_steps, temperature, temperature)
            took = clock() - now
            self.slice_steps = max(200, int(self.slice_steps * min(2.0, max(0.5, _SLICE / max(took, 1e-6)))))
            if self._over(state):
                return False
        return True

    def _run_counted(self, state: State, one: Round) -> bool:
        slices = 100
        steps = int((self.team.steps or 0) * one.share)
        marks = np.linspace(0, steps, slices + 1).astype(int)
        for i in range(slices):
            temperature = one.hot * (one.cold / one.hot) ** (i / slices)
            run(ANNEAL, state.cells, state.of, int(marks[i + 1] - marks[i]), temperature, temperature)
            if clock() > self.team.deadline or self._over(state):
                return False
        return True

    def _over(self, state: State) -> bool:
        """Share what was found and report it; whether somebody wants to stop."""
        if state.total < self.team.best_total:
            self.team._share(state)
        if self.on_progress is not None and clock() - self.reported > _REPORT:
            self.reported = clock()
            if self.on_progress(self.team.best_total + self.team.fixed):
                self.team.stopped = True
        return self.team.stopped


def _begin(state: State, start: Sequence[Assignment] | None) -> None:
    if start is not None:
        state.put(start)
        run(LOAD, state.cells, state.of, 0, 1.0, 1.0)
        return
    state.views["sequence"][:] = np.argsort(state.views["jobs"][:, layout.DUE], kind="stable")
    run(DISPATCH, state.cells, state.of, 0, 1.0, 1.0)


def _is_known(workload: Workload, a: Assignment) -> bool:
    return a.job in workload.job_by_id and a.stringer in workload.stringer_by_id and a.machine in workload.machine_by_id


def _breaks_rules(workload: Workload, found: Found) -> bool:
    plan = Plan(status="feasible", assignments=found.assignments, unplaced=found.unplaced, costs={})
    return bool(check_plan(workload, plan))


def _found(workload: Workload, points: Points, assignments: Sequence[Assignment], left_out: Sequence[str]) -> Found:
    total = sum(cost_of_assignments(workload, assignments, left_out, points).values())
    return Found(assignments=tuple(assignments), unplaced=tuple(left_out), total=total)
