"""`python -m solver.rehearsal.against_planner DAY.json …`: days played by the rule, and by the planner."""

import argparse
import heapq
import random
import statistics
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import exp
from pathlib import Path

from solver.contract.plan import Assignment, Plan
from solver.contract.reading import WorkloadError, read_workload
from solver.contract.workload import History, Started, Workload
from solver.dispatch import Draft
from solver.judge.costs import cost_of_assignments
from solver.planning import make_plan
from solver.rehearsal import play as rule
from solver.rehearsal.day_and_team import day_of_workload
from solver.rehearsal.one_day import EFFORT_USUAL
from solver.warming import warm_up


@dataclass
class PlannedDay:
    """A day at which everything is planned anew by `make_plan` at each change, as the desk does."""

    day: Workload
    factor: dict[str, float]
    seconds: float
    spread: int
    steps: int | None = None
    waiting: set[str] = field(default_factory=set)
    running: dict[str, Assignment] = field(default_factory=dict)
    expected: dict[str, int] = field(default_factory=dict)
    done: list[Assignment] = field(default_factory=list)
    plan: Plan | None = None

    def play(self) -> Draft:
        """Play to the end; give what was strung and what was not."""
        todo = [(max(self.day.now, job.ready_from), 0, job.id) for job in self.day.jobs]
        todo += [(a, 1, s.id) for s in self.day.stringers for a, _ in s.windows]
        heapq.heapify(todo)
        while todo:
            now = todo[0][0]
            while todo and todo[0][0] == now:
                _, what, name = heapq.heappop(todo)
                if what == 0:
                    self.waiting.add(name)
                elif what == 2 and name in self.running:
                    self.done.append(self.running.pop(name))
            look = self._plan_and_start(now, todo) if self.waiting else None
            if look is not None:
                heapq.heappush(todo, (look, 3, ""))
        return self.done, sorted(self.waiting)

    def _plan_and_start(self, now: int, todo: list[tuple[int, int, str]]) -> int | None:
        self.plan = make_plan(
            self._moment(now), seconds=self.seconds, steps=self.steps, previous=self.plan, bound=False, gaps=False
        )
        looks = []
        for a in self.plan.assignments:
            on_shift = any(x <= now < y for x, y in self.day.stringer_by_id[a.stringer].windows)
            if a.job not in self.waiting or a.stringer in self.running or not on_shift:
                continue
            if a.start > now:
                looks.append(a.start)
            elif a.machine not in {r.machine for r in self.running.values()}:
                true = max(1, round((a.end - a.start) * self.factor[a.job]))
                self.running[a.stringer] = replace(a, start=now, end=now + true)
                self.expected[a.job] = a.end - a.start + now
                self.waiting.discard(a.job)
                heapq.heappush(todo, (now + true, 2, a.stringer))
        return min(looks, default=None)

    def _moment(self, now: int) -> Workload:
        jobs = [self.day.job_by_id[name] for name in sorted(self.waiting)]
        planned = {} if self.plan is None else {a.job: a.stringer for a in self.plan.assignments}
        jobs = [replace(job, planned_stringer=planned.get(job.id)) for job in jobs]
        for a in self.running.values():
            end = max(self.expected[a.job], now + 1)
            on = Started(stringer=a.stringer, machine=a.machine, start=a.start, end=end)
            jobs.append(replace(self.day.job_by_id[a.job], started=on))
        return replace(self.day, now=now, jobs=tuple(jobs), history=self._own(), spread=self.spread)

    def _own(self) -> dict[str, History]:
        """Give each player's own stringer and machine: as the day began, else who had most racquets so far."""
        seen: dict[str, tuple[Counter[str], Counter[str]]] = defaultdict(lambda: (Counter(), Counter()))
        for a in sorted([*self.done, *self.running.values()], key=lambda a: a.start):
            who, where = seen[self.day.job_by_id[a.job].player]
            who[a.stringer] += 1
            where[a.machine] += 1
        own = {
            player: History(stringers=(who.most_common(1)[0][0],), machines=(where.most_common(1)[0][0],))
            for player, (who, where) in seen.items()
        }
        return own | dict(self.day.history)


def played_by_rule(
    day: Workload, factor: dict[str, float], spread: int, seed: int, effort: int = EFFORT_USUAL
) -> Draft:
    """Play a day by the compiled rule; give what was strung and what was not."""
    rehearsed, team = day_of_workload(day, [factor[job.id] for job in day.jobs], seed=seed)
    went = rule(rehearsed, team, spread=spread, target_minutes=day.target_minutes, effort=effort)
    strung = [
        Assignment(
            job=job.id,
            stringer=day.stringers[went.stringer[i]].id,
            machine=day.machines[went.machine[i]].id,
            start=int(went.start[i]),
            end=int(went.end[i]),
        )
        for i, job in enumerate(day.jobs)
        if went.strung[i]
    ]
    return strung, [job.id for i, job in enumerate(day.jobs) if not went.strung[i]]


def true_factors(day: Workload, spread: int, noise: int) -> dict[str, float]:
    """Give lognormal multiples of mean 1 of each job's minutes."""
    sigma, dice = spread / 100, random.Random(f"{day.name}-{noise}")
    return {job.id: exp(dice.gauss(-(sigma**2) / 2, sigma)) for job in day.jobs}


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the table; give exit status 2 when a day cannot be read."""
    options = _parser().parse_args(arguments)
    warm_up()
    ratios, totals = [], [0, 0]
    print(f"{'day':<12}{'noise':>6}{'planner':>12}{'took':>8}{'rule':>12}{'took':>8}{'ratio':>8}")
    for path in options.days:
        try:
            day = read_workload(Path(path))
        except WorkloadError as error:
            print("\n".join(error.faults), file=sys.stderr)
            return 2
        for noise in options.noise:
            factor = true_factors(day, options.spread, noise)
            began = time.process_time()
            planned = PlannedDay(day, factor, options.seconds, options.spread, options.steps).play()
            between = time.process_time()
            ruled = played_by_rule(day, factor, options.spread, noise, options.effort)
            took = between - began, time.process_time() - between
            by_planner, by_rule = (sum(cost_of_assignments(day, *went).values()) for went in (planned, ruled))
            ratios.append(by_rule / by_planner)
            totals = [totals[0] + by_planner, totals[1] + by_rule]
            print(
                f"{day.name:<12}{noise:>6}{by_planner:>12}{took[0]:>7.1f}s{by_rule:>12}{took[1]:>7.2f}s{ratios[-1]:>8.3f}",
                flush=True,
            )
    mean, of_all = statistics.mean(ratios), totals[1] / totals[0]
    print(f"rule / planner: mean {mean:.3f} of {len(ratios)} days, of all points {of_all:.3f}")
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m solver.rehearsal.against_planner", description=__doc__)
    parser.add_argument("days", nargs="+", help="workloads in which ready_from is when a racquet comes")
    parser.add_argument("--noise", nargs="+", type=int, default=[1], help="seeds of the true minutes")
    parser.add_argument("--seconds", type=float, default=0.3, help="of the planner after each change")
    parser.add_argument("--effort", type=int, default=EFFORT_USUAL, help="steps of the rule after a change")
    parser.add_argument("--steps", type=int, help="of the planner's search, where the machine is too busy for seconds")
    parser.add_argument("--spread", type=int, default=15, help="of the true minutes, per cent")
    return parser


if __name__ == "__main__":
    sys.exit(main())
