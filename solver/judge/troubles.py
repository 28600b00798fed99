"""Which jobs of a plan are late, tight, left out or break their promise."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from solver.contract.plan import Assignment, Plan
from solver.contract.workload import Job, Workload, late_from

LEFT_OUT = 10**6
Kind = Literal["late", "promise", "tight", "unplaced"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Trouble:
    """One job that is not as it should be.

    `minutes` counts past `latest` (or `due` where there is none later) of a late one, past `due` of a
    tight one, which is done by `latest`, and past the promised time of a broken promise.
    """

    job: str
    kind: Kind
    minutes: int
    weight: int


def find_troubles(workload: Workload, plan: Plan, *, tight: bool = False) -> list[Trouble]:
    """Give one trouble of each job that has any, the worst first; the tight ones only where asked for.

    Lateness hides a broken promise, which hides that a job is tight.
    """
    found = [_left_out(workload.job_by_id[job_id]) for job_id in plan.unplaced]
    for a in plan.assignments:
        found += list(_of_planned(workload.job_by_id[a.job], a))[:1]
    found = [t for t in found if tight or t.kind != "tight"]
    return sorted(found, key=lambda t: (t.kind == "tight", -t.minutes * t.weight, t.job))


def _left_out(job: Job) -> Trouble:
    return Trouble(job=job.id, kind="unplaced", minutes=LEFT_OUT, weight=max(1, job.weight))


def _of_planned(job: Job, a: Assignment) -> Iterator[Trouble]:
    wanted: tuple[tuple[Kind, int | None, int], ...] = (
        ("late", late_from(job), job.weight),
        ("promise", job.promised, 1),
        ("tight", job.due, job.weight),
    )
    for kind, minute, weight in wanted:
        if minute is not None and a.end > minute:
            yield Trouble(job=job.id, kind=kind, minutes=a.end - minute, weight=weight)
