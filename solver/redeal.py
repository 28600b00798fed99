"""Equally long jobs may trade their turns freely: which gets which is an assignment problem, solved exactly."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from ortools.graph.python import min_cost_flow

from solver.contract.calendar import Calendar
from solver.contract.end_points import end_points
from solver.contract.plan import Assignment
from solver.contract.points import Points
from solver.contract.workload import Job, Workload, bench_minutes, earliest_start, waits_from
from solver.dispatch import Draft
from solver.judge.costs import job_cost, last_minute, leaving_out_cost

Costs = NDArray[np.int64]
_FORBIDDEN = 1 << 50
MOST_TURNS = 600
"""Turns looked at, the earliest of the free ones after all present ones."""


@dataclass(frozen=True, slots=True)
class Turn:
    """A stretch of a stringer's time at a machine that just holds a job of the group."""

    stringer: str
    machine: str
    start: int
    end: int


def redeal(workload: Workload, points: Points, draft: Draft) -> Draft:
    """Deal the turns of equally long jobs anew, each kind of job by an optimal assignment.

    What keeps its turn stays where it is. Solved as a flow by the cost-scaling method of OR-Tools
    (Goldberg 1997, J. Algorithms 22:1-29). Where jobs are all alike and continuity costs nothing, the
    answer is a best plan on the turns that there are, present and free; else it may cost more than the
    draft, since a player's racquets are dealt one by one.

    Parameters
    ----------
    workload : Workload
        What is planned.
    points : Points
        What each shortcoming costs.
    draft : Draft
        A plan that keeps every rule.

    Returns
    -------
    Draft
        A plan that keeps every rule.
    """
    assignments, left_out = list(draft[0]), list(draft[1])
    for group in _equal_jobs(workload):
        names = {job.id for job in group}
        rest = [a for a in assignments if a.job not in names]
        turns = [_turn_of(a) for a in assignments if a.job in names]
        last = max((t.start for t in turns), default=0) if len(turns) == len(group) else last_minute(workload)
        turns += _free_turns(workload, assignments, group, last)[: MOST_TURNS - len(turns)]
        placed = _deal(workload, points, group, turns, rest)
        assignments = rest + placed
        done = {a.job for a in placed}
        left_out = [name for name in left_out if name not in names] + [j.id for j in group if j.id not in done]
    return assignments, left_out


def are_alike(workload: Workload) -> bool:
    """Whether there is somewhere to string, no turn kept, and every job still to begin takes as long as every other."""
    has_bench = bool(workload.stringers and workload.machines) and not workload.in_turn
    return has_bench and len({job.minutes for job in workload.jobs if job.started is None}) == 1


def _equal_jobs(workload: Workload) -> list[list[Job]]:
    groups: dict[tuple[int, ...], list[Job]] = defaultdict(list)
    for job in workload.jobs:
        if job.started is None and job.id not in workload.in_turn:
            groups[tuple(bench_minutes(job, s) for s in workload.stringers)].append(job)
    return [group for group in groups.values() if len(group) > 1]


def _turn_of(a: Assignment) -> Turn:
    return Turn(a.stringer, a.machine, a.start, a.end)


def _free_turns(workload: Workload, assignments: Sequence[Assignment], group: Sequence[Job], last: int) -> list[Turn]:
    """Give further turns that start by `last`: for each stringer one after the other at home, as many as jobs."""
    calendar = Calendar(workload, assignments)
    turns: list[Turn] = []
    for stringer in workload.stringers:
        machine, length = stringer.home or workload.machines[0].id, bench_minutes(group[0], stringer)
        since = workload.now
        for job in group:
            at = calendar.earliest(stringer.id, machine, since, length)
            if at is None or at > last:
                break
            turn = Turn(stringer.id, machine, at, at + length)
            calendar.take(Assignment(job=job.id, stringer=turn.stringer, machine=machine, start=at, end=turn.end))
            turns.append(turn)
            since = turn.end
    return sorted(turns, key=lambda t: t.start)


def _deal(
    workload: Workload, points: Points, jobs: Sequence[Job], turns: Sequence[Turn], rest: Sequence[Assignment]
) -> list[Assignment]:
    """Give each job the turn that makes the whole cheapest, or none where leaving it out costs no more."""
    known = _known_stringers(workload, rest)
    costs = np.array([_costs(workload, points, job, turns, known[job.player]) for job in jobs], dtype=np.int64)
    out = np.array([leaving_out_cost(workload, job, points) for job in jobs], dtype=np.int64)
    placed = []
    for job, k in zip(jobs, _assign(costs, out), strict=True):
        if k is not None:
            t = turns[k]
            placed.append(Assignment(job=job.id, stringer=t.stringer, machine=t.machine, start=t.start, end=t.end))
    return placed


def _known_stringers(workload: Workload, rest: Sequence[Assignment]) -> dict[str, set[str]]:
    known: dict[str, set[str]] = defaultdict(set)
    for player, past in workload.history.items():
        known[player].update(past.stringers)
    for a in rest:
        known[workload.job_by_id[a.job].player].add(a.stringer)
    return known


def _costs(workload: Workload, points: Points, job: Job, turns: Sequence[Turn], known: set[str]) -> Costs:
    """Give what the job costs at each turn, `_FORBIDDEN` where it may not take it."""
    starts, ends = (np.array([getattr(t, name) for t in turns], dtype=np.int64) for name in ("start", "end"))
    first = {(t.stringer, t.machine): t for t in turns}
    benches = {bench: _cost_at(workload, points, job, t, known) for bench, t in first.items()}
    costs = np.array([benches[t.stringer, t.machine] for t in turns], dtype=np.int64)
    costs += points.waiting * np.maximum(0, ends - waits_from(job)) + end_points(workload, job, points).at(ends)
    if job.fresh_from is not None:
        costs += points.stale * (starts < job.fresh_from)
    return np.where(starts < earliest_start(workload, job), _FORBIDDEN, costs)


def _cost_at(workload: Workload, points: Points, job: Job, turn: Turn, known: set[str]) -> int:
    """Give the points that depend on the bench and not on the time."""
    if not job.may_go_to(turn.stringer, turn.machine):
        return _FORBIDDEN
    a = Assignment(job=job.id, stringer=turn.stringer, machine=turn.machine, start=turn.start, end=turn.end)
    cost = job_cost(workload, job, a, points)
    is_new = bool(known) and turn.stringer not in known
    return cost["away"] + cost["over_target"] + cost["moved"] + points.extra_stringer * is_new


def _assign(costs: Costs, out: Costs) -> list[int | None]:
    """Give for each row the column that makes the sum least, None where the row's `out` is cheaper."""
    rows, columns = costs.shape
    flow = min_cost_flow.SimpleMinCostFlow()
    row, column = np.nonzero(costs < np.minimum(out, _FORBIDDEN)[:, None])
    arcs = flow.add_arcs_with_capacity_and_unit_cost(row, rows + column, np.ones_like(row), costs[row, column])
    sink = rows + columns
    ends = np.arange(sink)
    flow.add_arcs_with_capacity_and_unit_cost(
        ends, np.full(sink, sink), np.ones(sink, dtype=np.int64), np.concatenate([out, np.zeros(columns, np.int64)])
    )
    flow.set_nodes_supplies(
        np.arange(sink + 1), np.concatenate([np.ones(rows), np.zeros(columns), [-rows]]).astype(int)
    )
    if flow.solve() != flow.OPTIMAL:
        raise RuntimeError("Every job can at least be left out, yet no assignment was found.")
    choice: list[int | None] = [None] * rows
    used = flow.flows(arcs) > 0
    for i, k in zip(row[used].tolist(), column[used].tolist(), strict=True):
        choice[i] = k
    return choice
