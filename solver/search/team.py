"""The workers of one search, and how they divide its time."""

import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, wait

from solver.contract.calendar import started_assignments
from solver.contract.plan import Assignment
from solver.contract.points import Points
from solver.contract.workload import Workload
from solver.dispatch import Draft
from solver.judge.costs import cost_of_assignments
from solver.search.kernels.kernel import run_build
from solver.search.schedule import (
    ALONE,
    TOGETHER,
    Cooling,
    Pace,
    Round,
    begin_anew,
    clock,
    has_bags,
    rounds,
    set_mix,
    speed_of_descent,
    temperatures,
)
from solver.search.shares import FEWEST_STRINGERS, SLICE, Shares
from solver.search.state import State
from solver.search.tables import Records

Progress = Callable[[int], bool | None]
_SLICE = 0.005
"""Seconds of moves between two looks at the clock."""
_REPORT = 0.05


class Team:
    """The searches of all workers, which share their best plan between rounds."""

    def __init__(
        self,
        workload: Workload,
        points: Points,
        start: Sequence[Assignment] | None,
        *,
        before: Sequence[Assignment],
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
            _begin(state, start, before)
        self.fixed = self._total_of(self.states[0]) - self.states[0].best_total
        self.best_total = self.states[0].best_total
        self.best_place = self.states[0].tables["best"].copy()
        self.shares = Shares(self.states, seed)
        self.plan: list[Round] = []
        self.is_round_over = self.is_over = False

    def _total_of(self, state: State) -> int:
        assignments, left_out = state.assignments()
        everything = started_assignments(self.workload) + assignments
        return sum(cost_of_assignments(self.workload, everything, left_out, self.points).values())

    def work(self, on_progress: Progress | None) -> None:
        """Search until the time, the steps or the caller's patience end."""
        if not self.states[0].names.jobs:
            return
        workers = len(self.states)
        if workers == 1:
            self._search(0, on_progress)
            return
        search = self._search_together if self._divides() else self._search
        with ThreadPoolExecutor(workers) as pool:
            searches = [pool.submit(search, i) for i in range(workers)]
            while wait(searches, timeout=_REPORT).not_done:
                if on_progress is not None and not self.stopped:
                    self.stopped = bool(on_progress(self.best_total + self.fixed))
            for done in searches:
                done.result()

    def _divides(self) -> bool:
        """Whether the workers take shares: there are enough stringers, and no time for each to go by cycles."""
        state = self.states[0]
        if len(self.workload.stringers) < FEWEST_STRINGERS * len(self.states):
            return False
        return self._plan_rounds(state, speed_of_descent(state), TOGETHER)[0].begins == "best"

    def best(self) -> Draft:
        """Give the best plan of all, the started racquets in it."""
        for state in self.states:
            self._share(state)
        self.states[0].tables["best"][:] = self.best_place
        assignments, left_out = self.states[0].assignments()
        return started_assignments(self.workload) + assignments, left_out

    def _share(self, state: State) -> None:
        """Take the team's best plan over, or give it this one's."""
        if state.best_total < self.best_total:
            with self.lock:
                if state.best_total < self.best_total:
                    self.best_total = state.best_total
                    self.best_place[:] = state.tables["best"]

    def _take(self, state: State, places: Records) -> None:
        with self.lock:
            state.give_places(places)
        run_build(state.record, True)

    def _plan_rounds(self, state: State, speed: float, pace: Pace) -> list[Round]:
        """Give the rounds for the time left, at so many moves a second."""
        steps = self.steps if self.steps is not None else (self.deadline - clock()) * speed
        moves = steps / len(state.names.jobs)
        return rounds(temperatures(state), moves, pace, from_plan=self.from_plan, bags=has_bags(state))

    def _cooling(self, plan: list[Round], number: int, slice_seconds: float) -> Cooling:
        """Give a round of a plan, with its share of the steps or of the time that is left for it and those after."""
        now, one = clock(), plan[number]
        part = one.share / sum(later.share for later in plan[number:])
        steps = None if self.steps is None else int(self.steps * one.share / sum(each.share for each in plan))
        return Cooling(one, slice_seconds=slice_seconds, until=now + (self.deadline - now) * part, steps=steps)

    def _search(self, worker: int, on_progress: Progress | None = None) -> None:
        """Search the whole plan, round by round."""
        state = self.states[worker]
        plan = self._plan_rounds(state, speed_of_descent(state), ALONE[worker % 2])
        reported = clock()
        for number, one in enumerate(plan):
            if one.begins == "fresh":
                begin_anew(state)
            elif number:
                self._take(state, self.best_place if one.begins == "best" else state.tables["best"])
            cooling = self._cooling(plan, number, _SLICE)
            while cooling.done < 1.0:
                cooling.run_slice(state)
                self._share(state)
                if on_progress is not None and clock() - reported > _REPORT:
                    reported = clock()
                    self.stopped = bool(on_progress(self.best_total + self.fixed))
                if self.stopped or clock() > self.deadline:
                    return

    def _search_together(self, worker: int) -> None:
        """Search a share of the plan, which changes; all workers cool alike."""
        try:
            self._cool_together(worker)
        except threading.BrokenBarrierError:
            return
        except BaseException:
            self.shares.barrier.abort()
            raise

    def _cool_together(self, worker: int) -> None:
        state, shares = self.states[worker], self.shares
        speed = speed_of_descent(state)

        def begin() -> None:
            self.plan = self._plan_rounds(self.states[0], speed, TOGETHER)
            shares.begin()

        def merge() -> None:
            shares.merge()
            self.is_over = self.stopped or clock() > self.deadline
            self.is_round_over = self.is_over or cooling.done >= 1.0

        shares.together(begin)
        for number, one in enumerate(self.plan):
            if one.begins == "fresh":
                begin_anew(state)
                shares.together(shares.begin)
            elif number:
                shares.together(lambda: shares.begin(self.best_place))
            cooling = self._cooling(self.plan, number, SLICE)
            self.is_round_over = False
            while not self.is_round_over:
                shares.work(worker, cooling)
                self._share(state)
                shares.together(merge)
            shares.load(worker)
            self._share(state)
            if self.is_over:
                return


def _begin(state: State, start: Sequence[Assignment] | None, before: Sequence[Assignment]) -> None:
    """Load the start, or what the order of an earlier plan comes to where that is cheaper."""
    if start is None:
        state.give(())
        state.put_in_sequence(state.tables["jobs"]["due"])
        run_build(state.record, False)
        return
    if before:
        state.give_order(before)
        run_build(state.record, False)
    reached = state["total"]
    state.give(start)
    run_build(state.record, True)
    if before and reached < state["total"]:
        state.give_order(before)
        run_build(state.record, False)
