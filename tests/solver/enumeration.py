"""Complete enumeration of the plans of a tiny workload, with none of the project's solver."""

import math
from itertools import permutations, product

from solver import Points, Workload
from solver.contract.workload import bench_minutes

ALWAYS = ((0, 10**9),)


def least_total(workload: Workload, points: Points) -> int:
    """The least total over every order of the jobs, every bench for each, and leaving out.

    Each job takes the first minute at which bench and order let it, or the first that is fresh.  But for
    that wish costs never fall as jobs come later, so that some best plan is among these.
    """
    fixed = [
        (j, j.started.stringer, j.started.machine, j.started.start, j.started.end) for j in workload.jobs if j.started
    ]
    open_jobs = [j for j in workload.jobs if not j.started]
    benches = [(s.id, m.id) for s in workload.stringers for m in workload.machines]
    choices = [[None] + [b for b in benches if allowed(j, *b)] for j in open_jobs]
    best = None
    for chosen in product(*choices):
        pairs = list(zip(open_jobs, chosen, strict=True))
        left_out = [j for j, bench in pairs if bench is None]
        for order in permutations([pair for pair in pairs if pair[1] is not None]):
            for waits in product(*[(0,) if j.fresh_from is None else (0, j.fresh_from) for j, _ in order]):
                rows = place_all(workload, fixed, order, waits)
                if rows is not None:
                    total = points_of(workload, rows, left_out, points)
                    best = total if best is None else min(best, total)
    return best


def allowed(job, stringer, machine):
    """Whether lists and pins let a job go there."""
    return (
        (job.stringers is None or stringer in job.stringers)
        and (job.machines is None or machine in job.machines)
        and job.pinned_stringer in (None, stringer)
        and job.pinned_machine in (None, machine)
    )


def place_all(workload, fixed, order, waits):
    """Rows (job, stringer, machine, start, end), each job as soon as hours and turns let it, or None."""
    rows = list(fixed)
    for (job, (stringer, machine)), since in zip(order, waits, strict=True):
        who, what = workload.stringer_by_id[stringer], workload.machine_by_id[machine]
        length = bench_minutes(job, who)
        busy = [(a, b) for _, s, m, a, b in rows if s == stringer or m == machine]
        if any(job.id in other.after and s == stringer for other, s, _, _, _ in rows if not other.started):
            return None
        turn = [b for other, s, _, _, b in rows if other.id in job.after and s == stringer]
        ready = max([workload.now, job.ready_from, since, *turn])
        edges = [ready] + [b for _, b in busy] + [a for a, _ in who.windows]
        edges += [a for a, _ in what.windows or ALWAYS]
        starts = [
            t
            for t in edges
            if t >= ready
            and any(a <= t and t + length <= b for a, b in who.windows)
            and any(a <= t and t + length <= b for a, b in what.windows or ALWAYS)
            and all(t + length <= a or b <= t for a, b in busy)
        ]
        if not starts:
            return None
        rows.append((job, stringer, machine, min(starts), min(starts) + length))
    return rows


def points_of(workload, rows, left_out, points):
    """The points of a plan by the table of headings, each written out anew."""
    total = sum(left_out_points(workload, job, points) for job in left_out)
    for job, stringer, machine, start, end in rows:
        home = workload.stringer_by_id[stringer].home
        sd = deviation(workload, end)
        total += late(end, sd, job, points)
        total += after(end, sd, job.promised, points.promise, points.late_cap)
        total += points.away if home is not None and home != machine else 0
        total += points.over_target * max(0, end - start - workload.target_minutes)
        total += points.moved if job.planned_stringer not in (None, stringer) else 0
        is_stale = job.fresh_from is not None and not job.started and start < job.fresh_from
        total += points.stale if is_stale else 0
        total += points.waiting * max(0, end - max(job.ready_from, job.fresh_from or 0))
    kinds = {m.id: m.kind for m in workload.machines}
    for player in {row[0].player for row in rows}:
        past = workload.history.get(player)
        for column, price, before in (
            (1, points.extra_stringer, past.stringers if past else ()),
            (2, points.extra_machine, past.machines if past else ()),
        ):
            names = {row[column] for row in rows if row[0].player == player}
            total += price * (len(names - set(before)) if before else len(names) - 1)
        used = {kinds[row[2]] for row in rows if row[0].player == player} - {None}
        own = {kinds.get(name) for name in (past.machines if past else ())} - {None}
        total += points.extra_kind * (len(used - own) if own else max(0, len(used) - 1))
    return total


def deviation(workload, end):
    """Standard deviation of an end that lies ahead."""
    return workload.spread / 100 * math.sqrt(20 * min(480, max(0, end - workload.now)))


def late(end, sd, job, points):
    """A fifth of the price between `due` and `latest`, the whole from there."""
    if job.due is None:
        return 0
    price = points.late * job.weight
    if job.latest is None or job.latest <= job.due:
        return after(end, sd, job.due, price, points.late_cap)
    between = after(end, sd, job.due, price * 0.2, job.latest - job.due)
    return between + after(end, sd, job.latest, price, points.late_cap)


def after(end, sd, wanted, price, cap):
    """Points for the mean minutes past a wanted time up to the cap."""
    if wanted is None:
        return 0
    mean = mean_past(end - wanted, sd) - (0 if cap is None else mean_past(end - wanted - cap, sd))
    return math.floor(price * mean + 0.5)


def mean_past(minutes, sd):
    """Mean of the positive part of a normal variable."""
    if sd == 0:
        return max(0, minutes)
    z = minutes / sd
    return minutes * 0.5 * (1 + math.erf(z / math.sqrt(2))) + sd * math.exp(-z * z / 2) / math.sqrt(2 * math.pi)


def left_out_points(workload, job, points):
    """Points of a job left out: as late as the cap, or as the last hour at the desk, has it."""
    if job.due is None:
        return points.unplaced
    latest = job.due if job.latest is None else max(job.due, job.latest)
    last = max([b for s in workload.stringers for _, b in s.windows] + started_ends(workload), default=workload.now)
    never = max(latest, last) if points.late_cap is None else latest + points.late_cap
    return points.unplaced + late(never, 0, job, points)


def started_ends(workload):
    """The ends of the started racquets."""
    return [j.started.end for j in workload.jobs if j.started]
