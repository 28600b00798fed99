"""Improving a plan part by part: a few jobs are planned anew by the whole model, the rest stands."""

import random
import time
from collections.abc import Callable, Sequence
from dataclasses import replace

from solver.contract.plan import Assignment
from solver.contract.points import Points
from solver.contract.workload import Span, Workload
from solver.dispatch import Draft
from solver.model.excerpt import part_of
from solver.model.solve import solve, total_of

JOBS_AT_ONCE = 8
STRINGERS_AT_ONCE = 4
MARGIN = 90
"""Minutes before and after its jobs that a part may use."""
WORK_AT_ONCE = 0.15
"""Limit of one solve in the solver's own units, about as many seconds."""


def improve_by_parts(
    workload: Workload,
    points: Points,
    draft: Draft,
    *,
    seconds: float,
    seed: int = 0,
    rounds: int | None = None,
    look: Callable[[], bool] | None = None,
) -> Draft:
    """Plan part after part of a draft anew and keep what is better.

    Parameters
    ----------
    workload, points
        What is planned, and what its shortcomings cost.
    draft : draft
        Keeps every rule.
    seconds : float
        Time to take.
    seed : int
        With a number of `rounds`, the same seed gives the same draft.
    rounds : int, optional
        Parts to try at most.
    look : callable, optional
        Asked after each part; True ends the work.

    Returns
    -------
    draft
        Never worse than the one given.
    """
    began, chance = time.perf_counter(), random.Random(seed)
    total = total_of(workload, draft, points)
    while rounds is None or rounds > 0:
        left = seconds - (time.perf_counter() - began)
        jobs = _neighbours(workload, draft, chance)
        if left <= 0.05 or not jobs:
            break
        trial = _plan_anew(workload, points, draft, jobs, seconds=left, seed=seed)
        trial_total = total_of(workload, trial, points)
        if trial_total <= total:
            draft, total = trial, trial_total
        if look is not None and look():
            break
        rounds = None if rounds is None else rounds - 1
    return draft


def _plan_anew(
    workload: Workload, points: Points, draft: Draft, jobs: Sequence[str], *, seconds: float, seed: int
) -> Draft:
    """Solve the part that consists of these jobs, at the stringers and machines where they are."""
    assignments, left_out = draft
    mine = [a for a in assignments if a.job in jobs]
    others = [a for a in assignments if a.job not in jobs]
    free = {j.id for j in workload.jobs if j.started is None}
    part = _narrowed(part_of(workload, set(jobs), [a for a in others if a.job in free]), mine)
    hint = mine, [name for name in left_out if name in jobs]
    solved = solve(
        part,
        points,
        seconds=min(seconds, 1.0),
        seed=seed,
        hint=hint,
        deterministic=WORK_AT_ONCE,
        is_part=True,
    )
    if solved.draft is None:
        return draft
    return [*others, *solved.draft[0]], [n for n in left_out if n not in jobs] + solved.draft[1]


def _narrowed(part: Workload, mine: Sequence[Assignment]) -> Workload:
    """Leave in a part the stringers of its jobs, their home machines, those in use, and hours near by.

    A machine that only tells what kind its players are used to stays without hours.
    """
    if not mine:
        return part
    people = {a.stringer for a in mine}
    benches = {a.machine for a in mine} | {s.home for s in part.stringers if s.id in people}
    for job in part.jobs:
        if job.pinned_stringer is not None:
            people.add(job.pinned_stringer)
        benches |= set((job.machines or ())[:2]) | {job.pinned_machine}
    players = {job.player for job in part.jobs} & part.history.keys()
    owned = {name for player in players for name in part.history[player].machines}
    first, last = min(a.start for a in mine) - MARGIN, max(a.end for a in mine) + MARGIN
    return replace(
        part,
        stringers=tuple(replace(s, windows=_clipped(s.windows, first, last)) for s in part.stringers if s.id in people),
        machines=tuple(
            m if m.id in benches else replace(m, windows=())
            for m in part.machines
            if m.id in benches or (m.kind is not None and m.id in owned)
        ),
    )


def _clipped(windows: tuple[Span, ...], first: int, last: int) -> tuple[Span, ...]:
    return tuple((max(a, first), min(b, last)) for a, b in windows if max(a, first) < min(b, last))


def _neighbours(workload: Workload, draft: Draft, chance: random.Random) -> list[str]:
    """Choose jobs that lie near each other: around one moment, or a player's and what is beside them.

    What keeps its turn stays where it is.
    """
    may = [name for name, job in workload.job_by_id.items() if job.started is None and name not in workload.in_turn]
    movable = [a for a in draft[0] if a.job in may]
    left_out = [name for name in draft[1] if name in may]
    if not movable:
        return left_out[:JOBS_AT_ONCE]
    centre = chance.choice(movable)
    people = {centre.stringer}
    player = workload.job_by_id[centre.job].player
    if chance.random() < 0.5:
        people |= {a.stringer for a in movable if workload.job_by_id[a.job].player == player}
    near = sorted(movable, key=lambda a: abs(a.start - centre.start))
    for a in near[: 4 * STRINGERS_AT_ONCE]:
        if len(people) >= chance.randint(1, STRINGERS_AT_ONCE):
            break
        people.add(a.stringer)
    chosen = [a.job for a in near if a.stringer in people][:JOBS_AT_ONCE]
    return chosen + left_out[:2]
