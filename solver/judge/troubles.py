"""Which jobs of a plan are late, left out or break their promise."""

from dataclasses import dataclass
from typing import Literal

from solver.contract.plan import Plan
from solver.contract.workload import Workload

LEFT_OUT = 10**6


@dataclass(frozen=True, kw_only=True, slots=True)
class Trouble:
    """One job that is not as it should be; `minutes` counts past its due or promised time."""

    job: str
    kind: Literal["late", "promise", "unplaced"]
    minutes: int
    weight: int


def find_troubles(workload: Workload, plan: Plan) -> list[Trouble]:
    """Give the troubles of a plan, the worst first; lateness hides a promise broken by less."""
    found = []
    for job_id in plan.unplaced:
        job = workload.job_by_id[job_id]
        found.append(Trouble(job=job_id, kind="unplaced", minutes=LEFT_OUT, weight=max(1, job.weight)))
    for a in plan.assignments:
        job = workload.job_by_id[a.job]
        late = 0 if job.due is None else a.end - job.due
        broken = 0 if job.promised is None else a.end - job.promised
        if late > 0:
            found.append(Trouble(job=job.id, kind="late", minutes=late, weight=job.weight))
        elif broken > 0:
            found.append(Trouble(job=job.id, kind="promise", minutes=broken, weight=1))
    return sorted(found, key=lambda t: (-t.minutes * t.weight, t.job))
