"""What a plan costs, by heading, without any solver."""

from collections import defaultdict
from collections.abc import Iterable

from solver.contract.end_points import certain_late_points, late_points, promise_points
from solver.contract.plan import Assignment, Plan
from solver.contract.points import HEADINGS, Points
from solver.contract.workload import Job, Workload, is_stale, kinds_of, late_from, waits_from

Bench = tuple[str, str]
"""Ids of a stringer and a machine."""


def last_minute(workload: Workload) -> int:
    """Give the end of the last window or started racquet: no job can end later."""
    ends = [end for s in workload.stringers for _, end in s.windows]
    ends += [j.started.end for j in workload.jobs if j.started is not None]
    return max(ends, default=workload.now)


def leaving_out_cost(workload: Workload, job: Job, points: Points | None = None) -> int:
    """Give the points for not planning `job`.

    The lateness is that of a certain end at the cap past `latest`; where there is no cap, as if the job
    came at the end of the last window, so that leaving a job out never pays better than planning it late.
    """
    points = points or workload.points
    latest = late_from(job)
    if latest is None:
        return points.unplaced
    never = max(latest, last_minute(workload)) if points.late_cap is None else latest + points.late_cap
    return points.unplaced + certain_late_points(job, never, points)


def job_cost(workload: Workload, job: Job, a: Assignment, points: Points | None = None) -> dict[str, int]:
    """Give what one planned job costs by itself: every heading but the continuity of its player."""
    points = points or workload.points
    stringer = workload.stringer_by_id[a.stringer]
    is_away = stringer.home is not None and a.machine != stringer.home
    is_moved = job.planned_stringer not in (None, a.stringer)
    return {
        "late": late_points(workload, job, a.end, points),
        "promise": promise_points(workload, job, a.end, points),
        "away": points.away * is_away,
        "over_target": points.over_target * max(0, a.end - a.start - workload.target_minutes),
        "moved": points.moved * is_moved,
        "stale": points.stale * is_stale(job, a.start),
        "waiting": points.waiting * max(0, a.end - waits_from(job)),
    }


def extra_names(before: Iterable[str], used: Iterable[str]) -> int:
    """Count the names new to a player: beyond `before`, or beyond the first where there is none."""
    known = set(before)
    return len(set(used) - known) if known else max(0, len(set(used)) - 1)


def cost_of(workload: Workload, plan: Plan, points: Points | None = None) -> dict[str, int]:
    """Give the points of `plan` by heading, recomputed from its assignments alone.

    Parameters
    ----------
    workload : Workload
        What was planned.
    plan : Plan
        The plan; its own `costs` are not looked at.
    points : Points, optional
        What each shortcoming costs; by default the workload's own prices.

    Returns
    -------
    dict of str to int
        One entry for each of `HEADINGS`.
    """
    return cost_of_assignments(workload, plan.assignments, plan.unplaced, points)


def cost_of_assignments(
    workload: Workload,
    assignments: Iterable[Assignment],
    unplaced: Iterable[str],
    points: Points | None = None,
) -> dict[str, int]:
    """Give the points of these assignments by heading, as `cost_of` does for a plan."""
    points = points or workload.points
    cost = dict.fromkeys(HEADINGS, 0)
    benches: dict[str, set[Bench]] = defaultdict(set)
    for name in unplaced:
        cost["unplaced"] += leaving_out_cost(workload, workload.job_by_id[name], points)
    for a in assignments:
        job = workload.job_by_id[a.job]
        for heading, value in job_cost(workload, job, a, points).items():
            cost[heading] += value
        benches[job.player].add((a.stringer, a.machine))
    for player, used in benches.items():
        for heading, value in continuity_cost(workload, player, used, points).items():
            cost[heading] += value
    return cost


def continuity_cost(workload: Workload, player: str, benches: set[Bench], points: Points) -> dict[str, int]:
    """Give the points for the stringers, machines and kinds of machine that are new to a player."""
    past = workload.history.get(player)
    owned = past.machines if past else ()
    used = {machine for _, machine in benches}
    stringers = extra_names(past.stringers if past else (), {stringer for stringer, _ in benches})
    kinds = extra_names(kinds_of(workload, owned), kinds_of(workload, used))
    return {
        "extra_stringer": points.extra_stringer * stringers,
        "extra_machine": points.extra_machine * extra_names(owned, used),
        "extra_kind": points.extra_kind * kinds,
    }


def added_by_bench(workload: Workload, player: str, benches: set[Bench], bench: Bench, points: Points) -> int:
    """Give the points of continuity that a further bench adds to those where a player's racquets are."""
    if bench in benches:
        return 0
    before, after = (continuity_cost(workload, player, used, points) for used in (benches, benches | {bench}))
    return sum(after.values()) - sum(before.values())
