"""The turns that jobs keep with one stringer: which comes after which."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from solver.contract.workload import Job, Workload


def behind(workload: Workload) -> Mapping[str, list[str]]:
    """Give for each job those that come after it, none for most."""
    found: dict[str, list[str]] = defaultdict(list)
    for job in workload.jobs:
        for name in job.after:
            found[name].append(job.id)
    return found


def in_their_turn(workload: Workload, jobs: Iterable[Job]) -> Iterator[Job]:
    """Give jobs in their order, but each behind those of them that it comes after."""
    waiting = {job.id: job for job in jobs}
    for name in list(waiting):
        for one in _with_those_ahead(workload, name):
            if one in waiting:
                yield waiting.pop(one)


def circles(workload: Workload) -> list[str]:
    """Name the jobs that come after themselves, by their path in the workload."""
    return [
        f"jobs[{i}].after: {job.id} would come after itself; take one of the turns away."
        for i, job in enumerate(workload.jobs)
        if comes_after(workload.job_by_id, job.id, job.after)
    ]


def comes_after(jobs: Mapping[str, Job], name: str, after: Sequence[str]) -> bool:
    """Whether what comes after the jobs AFTER comes after job NAME by that, from one to the next."""
    seen, to_see = set[str](), list(after)
    while to_see:
        one = to_see.pop()
        if one == name:
            return True
        if one not in seen and one in jobs:
            seen.add(one)
            to_see += jobs[one].after
    return False


def _with_those_ahead(workload: Workload, name: str) -> list[str]:
    """Give a job behind all that it comes after, from one to the next."""
    order: list[str] = []
    seen = {name}
    to_see = [(name, iter(workload.job_by_id[name].after))]
    while to_see:
        one, ahead = to_see[-1]
        fresh = next((n for n in ahead if n not in seen and n in workload.job_by_id), None)
        if fresh is None:
            order.append(one)
            to_see.pop()
        else:
            seen.add(fresh)
            to_see.append((fresh, iter(workload.job_by_id[fresh].after)))
    return order
