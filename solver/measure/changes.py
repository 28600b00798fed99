"""What happens to a workload in the middle of a day, to measure how quickly a plan follows."""

from collections.abc import Iterator
from dataclasses import replace

from solver.contract.plan import Plan
from solver.contract.workload import Job, Span, Workload

_OUT = 120
"""Minutes for which a machine is out of service."""
_EARLIER = 60
"""Minutes by which a match is moved to an earlier time."""


def changed(workload: Workload, plan: Plan) -> Iterator[tuple[str, Workload]]:
    """Give a name and a changed workload for each kind of change.

    Parameters
    ----------
    workload : Workload
        With jobs that wait and a job due.
    plan : Plan
        Its plan: the stringer who leaves and the machine that fails are the busiest in it.

    Yields
    ------
    tuple of str and Workload
        A job more, a stringer gone, a machine out, a match moved, and all four at once.
    """
    changes = (_one_job_more, _stringer_gone, _machine_out, _match_moved)
    at_once = workload
    for change in changes:
        at_once = change(at_once, plan)
        yield change.__name__.strip("_").replace("_", " "), change(workload, plan)
    yield "all at once", at_once


def _busiest(workload: Workload, plan: Plan, kind: str) -> str:
    minutes: dict[str, int] = {}
    for a in plan.assignments:
        if workload.job_by_id[a.job].started is None:
            name = getattr(a, kind)
            minutes[name] = minutes.get(name, 0) + a.end - a.start
    return max(minutes, key=lambda name: (minutes[name], name))


def _one_job_more(workload: Workload, _plan: Plan) -> Workload:
    like = next(j for j in workload.jobs if j.started is None)
    more = replace(
        like,
        id="one more",
        player="one more",
        ready_from=max(workload.now, like.ready_from),
        due=max(workload.now, like.ready_from) + 120,
        promised=None,
        planned_stringer=None,
    )
    return replace(workload, jobs=(*workload.jobs, more))


def _stringer_gone(workload: Workload, plan: Plan) -> Workload:
    """Let the busiest stringer leave, once what is started is done."""
    name = _busiest(workload, plan, "stringer")
    begun = [j.started.end for j in workload.jobs if j.started is not None and j.started.stringer == name]
    last = max([workload.now, *begun])
    team = tuple(
        replace(s, windows=tuple((a, min(b, last)) for a, b in s.windows if a < last)) if s.id == name else s
        for s in workload.stringers
    )
    return replace(workload, stringers=team)


def _machine_out(workload: Workload, plan: Plan) -> Workload:
    """Take the busiest machine out of service from the first moment at which it is needed and free."""
    name = _busiest(workload, plan, "machine")
    begun = [j.started.end for j in workload.jobs if j.started is not None and j.started.machine == name]
    first = min(a.start for a in plan.assignments if a.machine == name and a.start >= max([workload.now, *begun]))
    machines = tuple(
        replace(m, windows=_without(m.windows, first, first + _OUT)) if m.id == name else m for m in workload.machines
    )
    return replace(workload, machines=machines)


def _without(windows: tuple[Span, ...] | None, start: int, end: int) -> tuple[Span, ...]:
    pieces = [piece for a, b in windows or ((0, 1 << 30),) for piece in ((a, min(b, start)), (max(a, end), b))]
    return tuple((a, b) for a, b in pieces if a < b)


def _match_moved(workload: Workload, _plan: Plan) -> Workload:
    """Move the match of the player with the most racquets still to string to an earlier time."""
    waiting = [j for j in workload.jobs if j.started is None and j.due is not None]
    count: dict[str, int] = {}
    for job in waiting:
        count[job.player] = count.get(job.player, 0) + 1
    player = max(count, key=lambda name: (count[name], name))

    def moved(job: Job) -> Job:
        if job.player != player or job.due is None:
            return job
        return replace(job, due=max(workload.now, job.due - _EARLIER))

    return replace(workload, jobs=tuple(moved(j) for j in workload.jobs))
