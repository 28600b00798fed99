"""Pins as a player has them: those of one bag are kept together, and go together."""

from collections.abc import Collection
from dataclasses import replace

from solver.contract.workload import Job, Workload


def is_pinned(job: Job) -> bool:
    """Whether a pin says who strings the job, or where, and nobody has begun it."""
    return job.started is None and (job.pinned_stringer is not None or job.pinned_machine is not None)


def pinned_with(workload: Workload, job: Job) -> tuple[Job, ...]:
    """Give the player's racquets that are pinned to the same stringer, or machine alone, with `job` among them."""
    if not is_pinned(job):
        return ()
    return tuple(one for one in workload.jobs if one.player == job.player and is_pinned(one) and _pin(one) == _pin(job))


def _pin(job: Job) -> tuple[str, str | None]:
    if job.pinned_stringer is not None:
        return "stringer", job.pinned_stringer
    return "machine", job.pinned_machine


def freed(job: Job) -> Job:
    """Give the job without its pins."""
    return replace(job, pinned_stringer=None, pinned_machine=None)


def without_pins(workload: Workload, names: Collection[str]) -> Workload:
    """Give the workload with these jobs free to go anywhere; nothing hangs on their turns any more."""
    jobs = tuple(
        replace(freed(job), after=())
        if job.id in names
        else replace(job, after=tuple(one for one in job.after if one not in names))
        for job in workload.jobs
    )
    return replace(workload, jobs=jobs)
