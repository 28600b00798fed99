"""What a plan costs, by heading, without any solver."""

from collections import defaultdict
from collections.abc import Iterable, Mapping

from solver.contract.plan import Assignment, Plan
from solver.contract.points import HEADINGS, Points
from solver.contract.workload import Job, Workload

DEFAULT = Points()


def minutes_late(end: int, wanted: int | None, cap: int | None) -> int:
    """Give the minutes that `end` lies past `wanted` (None: never late), at most `cap`."""
    late = 0 if wanted is None else max(0, end - wanted)
    return late if cap is None else min(cap, late)


def last_minute(workload: Workload) -> int:
    """Give the end of the last window or started racquet: no job can end later."""
    ends = [end for s in workload.stringers for _, end in s.windows]
    ends += [j.started.end for j in workload.jobs if j.started is not None]
    return max(ends, default=workload.now)


def leaving_out_cost(workload: Workload, job: Job, points: Points = DEFAULT) -> int:
    """Give the points for not planning `job`.

    The lateness is taken at the cap; where there is no cap, as if the job came at the end of the
    last window, so that leaving a job out never pays better than planning it late.
    """
    if job.due is None:
        return points.unplaced
    cap = points.late_cap
    latest = max(0, last_minute(workload) - job.due) if cap is None else cap
    return points.unplaced + points.late * job.weight * latest


def job_cost(workload: Workload, job: Job, assignment: Assignment, points: Points = DEFAULT) -> dict[str, int]:
    """Give what one planned job costs by itself: every heading but the continuity of its player."""
    stringer = workload.stringer_by_id[assignment.stringer]
    end, cap = assignment.end, points.late_cap
    is_away = stringer.home is not None and assignment.machine != stringer.home
    is_moved = job.planned_stringer not in (None, assignment.stringer)
    over = max(0, end - assignment.start - workload.target_minutes)
    return {
        "late": points.late * job.weight * minutes_late(end, job.due, cap),
        "promise": points.promise * minutes_late(end, job.promised, cap),
        "away": points.away * is_away,
        "over_target": points.over_target * over,
        "moved": points.moved * is_moved,
        "waiting": points.waiting * (end - job.ready_from),
    }


def extra_names(before: Iterable[str], used: Iterable[str]) -> int:
    """Count the names new to a player: beyond `before`, or beyond the first where there is none."""
    known = set(before)
    return len(set(used) - known) if known else max(0, len(set(used)) - 1)


def cost_of(workload: Workload, plan: Plan, points: Points = DEFAULT) -> dict[str, int]:
    """Give the points of `plan` by heading, recomputed from its assignments alone.

    Parameters
    ----------
    workload : Workload
        What was planned.
    plan : Plan
        The plan; its own `costs` are not looked at.
    points : Points
        What each shortcoming costs.

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
    points: Points = DEFAULT,
) -> dict[str, int]:
    """Give the points of these assignments by heading, as `cost_of` does for a plan."""
    cost = dict.fromkeys(HEADINGS, 0)
    stringers: Mapping[str, set[str]] = defaultdict(set)
    machines: Mapping[str, set[str]] = defaultdict(set)
    for name in unplaced:
        cost["unplaced"] += leaving_out_cost(workload, workload.job_by_id[name], points)
    for a in assignments:
        job = workload.job_by_id[a.job]
        for heading, value in job_cost(workload, job, a, points).items():
            cost[heading] += value
        stringers[job.player].add(a.stringer)
        machines[job.player].add(a.machine)
    for player, names in stringers.items():
        past = workload.history.get(player)
        cost["extra_stringer"] += points.extra_stringer * extra_names(past.stringers if past else (), names)
    for player, names in machines.items():
        past = workload.history.get(player)
        cost["extra_machine"] += points.extra_machine * extra_names(past.machines if past else (), names)
    return cost
