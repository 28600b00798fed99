"""One planning: how its time is shared between search, proof, mending and bound."""

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

from solver.bound.alone import bound_alone
from solver.contract.calendar import started_assignments
from solver.contract.plan import Assignment, Plan, Status, in_order
from solver.contract.workload import Workload
from solver.course import BOUNDED, MENDED, Course, Options
from solver.dispatch import Draft, earliest_due, first_come, repair
from solver.judge.costs import cost_of_assignments
from solver.model.neighbourhoods import improve_by_parts
from solver.model.solve import solve, total_of
from solver.newcomers.gaps import with_gaps
from solver.newcomers.needed_first import needed_first, with_room
from solver.redeal import are_alike, redeal
from solver.warming import begin_warming, is_warm, warm_up

if TYPE_CHECKING:
    from solver.bound.ascent import Ascent

MOST_FOR_RULES, MOST_FOR_EARLIEST_DUE = 200, 600
"""Jobs up to which the quick rules are tried; with more the search begins better by itself."""
ORDER_COSTS = 0.01
"""Share of its points that a plan whose ends are not certain may give up to string first what is needed first."""
FIRST_CLIMB, SHARE_OF_FIRST_CLIMB = 0.2, 0.15
"""Seconds that the bound takes at the beginning, and the most of the time that they may be."""
READING_BACK, FINDING_GAPS, MOST_FOR_GAPS = 1e-4, 5e-4, 0.06
"""Seconds a job to put the plan together at the end and to find its gaps, and the most seconds for these."""
ROUNDS_OF_BOUND = 100
WORK_A_STEP, MOST_WORK = 5e-5, 5.0
"""Deterministic seconds of proof that a step counts for, and the most of them."""


class Planning:
    """One planning: the clock, and the best draft and bound so far."""

    def __init__(self, workload: Workload, options: Options) -> None:
        self.workload, self.points, self.options = workload, workload.points, options
        self.began = time.perf_counter()
        self.open = [job.id for job in workload.jobs if job.started is None]
        self.draft: Draft = started_assignments(workload), list(self.open)
        self.total = total_of(workload, self.draft, workload.points)
        self.at_least = self.bound = sum(cost_of_assignments(workload, self.draft[0], ()).values())
        self.course = Course(workload, options)
        count = len(workload.jobs)
        for_gaps = min(FINDING_GAPS * count, MOST_FOR_GAPS) if self.course.leaves_gaps else 0.0
        self.seconds = max(0.0, options.seconds - READING_BACK * count - for_gaps)
        self.to_search = with_room(workload) if self.course.leaves_room else workload
        self.searched_total = total_of(self.to_search, self.draft, self.to_search.points)
        self.has_start = self.is_stopped = self.is_quick = False
        self.before: tuple[Assignment, ...] = ()
        self.climbed = 0.0
        self.ascent: Ascent | None = None

    @property
    def passed(self) -> float:
        """Give the seconds since the planning began."""
        return time.perf_counter() - self.began

    @property
    def is_over(self) -> bool:
        """Whether there is nothing to gain, no time, or no patience."""
        return self.is_stopped or self.total <= self.bound or self.passed >= self.seconds

    def start(self, previous: Plan | None) -> None:
        """Begin with what is left of an earlier plan, or with the quick rules."""
        if previous is not None:
            self.before = previous.assignments
            self.take(repair(self.workload, self.points, previous.assignments))
            self.has_start = True
            if self.course.is_brief and (self.course.is_counted or is_warm()):
                return
        count = len(self.open)
        if count <= MOST_FOR_RULES:
            self.take(first_come(self.workload, self.points))
        if count <= MOST_FOR_RULES or (previous is None and count <= MOST_FOR_EARLIEST_DUE) or not is_warm():
            self.take(earliest_due(self.workload, self.points))
        if count <= MOST_FOR_EARLIEST_DUE and are_alike(self.workload):
            self.take(redeal(self.workload, self.points, self.draft))
            self.has_start = True

    def take(self, draft: Draft) -> None:
        """Keep a draft that is better than the best so far, by the points that the search counts."""
        searched_total = total_of(self.to_search, draft, self.to_search.points)
        if searched_total < self.searched_total:
            self.draft, self.searched_total = draft, searched_total
            self.total = total_of(self.workload, draft, self.points) if self.course.leaves_room else searched_total

    def improve(self) -> None:
        """Search, then prove a small workload or mend a large one part by part."""
        if self.course.is_counted:
            warm_up(bound=self.course.takes_bound)
        elif not is_warm():
            begin_warming()
            self.is_quick = True
            self.mend(until=self.seconds, stop=is_warm)
        if is_warm() and not self.is_over:
            warm_up()
            if self.course.takes_bound:
                begin_warming(bound=True)
            if not self.is_over:
                self.search()
            self.climb(rounds=ROUNDS_OF_BOUND if self.course.is_counted else None, share=0.1)
        if self.course.is_small and not self.is_over:
            self.prove()
        elif self.course.is_mended:
            self.mend(until=MENDED * self.seconds)
        if not (self.course.is_small or self.course.is_counted):
            self.climb(share=1.0)
        self.make_ready_for_newcomers()

    def search(self) -> None:
        """Let the compiled search improve the start, the bound rising meanwhile."""
        from solver.search import improve

        self.is_quick = False
        left = self.course.searched * self.seconds - self.passed
        found = improve(
            self.to_search,
            self.to_search.points,
            self.draft[0] if self.has_start else None,
            before=self.before,
            seconds=max(left, 3600.0) if self.course.is_counted else left,
            seed=self.options.seed,
            steps=self.options.steps,
            workers=self.options.workers,
            on_progress=None if self.course.is_counted else self.tick,
        )
        self.take((list(found.assignments), list(found.unplaced)))

    def make_ready_for_newcomers(self) -> None:
        """Let what is needed first go first, where ends are certain or all is proved only if free; then leave gaps."""
        is_free = self.workload.spread == 0 or self.course.is_small
        assignments, left_out = self.draft
        spare = 0 if is_free else int(ORDER_COSTS * self.searched_total)
        assignments = needed_first(self.to_search, self.to_search.points, assignments, spare=spare)
        if self.course.leaves_gaps:
            assignments = with_gaps(self.to_search, assignments)
        self.draft = assignments, left_out
        self.total = total_of(self.workload, self.draft, self.points)

    def tick(self, total: int) -> bool:
        """Climb a little, tell how far things are, and say whether to end."""
        self.climb(share=BOUNDED, target=total)
        return self.tell(total) or total <= self.bound

    def tell(self, total: int) -> bool:
        """Report to the caller, who may have seen enough; say whether to end."""
        if self.options.progress is not None and self.options.progress(self.passed, total, self.bound):
            self.is_stopped = True
        return self.is_stopped

    def climb(self, *, share: float, rounds: int | None = None, target: int | None = None) -> None:
        """Raise the bound, for a share of the time that has passed at most, or for some rounds."""
        from solver.bound.ascent import Ascent

        if not self.course.takes_bound or not is_warm(bound=True) or not self.open:
            return
        warm_up(bound=True)
        began = time.perf_counter()
        if self.ascent is None:
            self.ascent = Ascent(self.workload, self.points)
        due = max(share * self.passed, min(FIRST_CLIMB, SHARE_OF_FIRST_CLIMB * self.seconds))
        spare = min(due - self.climbed, self.seconds - self.passed)
        if rounds is not None or spare > 0:
            until = None if rounds is not None else time.perf_counter() + spare
            bound = self.ascent.climb(self.total if target is None else target, until=until, rounds=rounds)
            self.bound = max(self.bound, bound)
        self.climbed += time.perf_counter() - began

    def prove(self) -> None:
        """Solve the whole model, from the best draft on."""
        solved = solve(
            self.workload,
            self.points,
            seconds=3600.0 if self.course.is_counted else self.seconds - self.passed,
            seed=self.options.seed,
            workers=1 if self.course.is_counted else self.options.workers,
            hint=self.draft,
            deterministic=min(MOST_WORK, self.options.steps * WORK_A_STEP) if self.options.steps is not None else None,
            found=self.found,
        )
        self.bound = max(self.bound, solved.bound)
        if solved.draft is not None:
            self.take(solved.draft)

    def found(self, total: int, bound: int) -> bool:
        """Tell of a plan that the model gave."""
        self.bound = max(self.bound, bound)
        return self.tell(min(total, self.total))

    def mend(self, *, until: float, stop: Callable[[], bool] = lambda: False) -> None:
        """Improve part by part till so many seconds have passed."""

        def look() -> bool:
            return self.tell(self.total) or stop()

        if self.open and not self.is_over:
            left = until - self.passed
            self.take(
                improve_by_parts(
                    self.workload, self.points, self.draft, seconds=left, seed=self.options.seed, look=look
                )
            )

    def plan(self) -> Plan:
        """Put the best draft into a plan."""
        if self.ascent is None or self.bound <= self.at_least:
            self.bound = max(self.bound, bound_alone(self.workload, self.points))
        status: Status = "optimal" if self.total <= self.bound else "feasible"
        return Plan(
            status=status if self.workload.jobs else "empty",
            assignments=in_order(self.draft[0]),
            unplaced=tuple(self.draft[1]),
            costs=cost_of_assignments(self.workload, *self.draft, self.points),
            bound=self.bound,
            seconds=self.passed,
            workload_name=self.workload.name,
            is_quick=self.is_quick and status != "optimal",
        )
