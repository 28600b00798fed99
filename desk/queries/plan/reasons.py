"""Why a racquet is late, breaks its promise or has no place, with what the desk knows beyond the workload."""

from __future__ import annotations

from dataclasses import replace

import solver
from desk.queries.plan.workloads import Moment

MOST_NAMED = 3


def reasons(
    moment: Moment, plan: solver.Plan, *, remedies: bool = False, seconds: float = 0.3
) -> list[solver.Explanation]:
    """Return what `solver.explain` says of a plan, the worst first, with who may not take the racquet and why."""
    say = {"clock": moment.clock.hhmm, "names": moment.keys.spoken}
    found = solver.explain(moment.workload, plan, remedies=remedies, seconds=seconds, **say)
    return [replace(one, reason=_with_limits(moment, one)) for one in found]


def _with_limits(moment: Moment, one: solver.Explanation) -> str:
    """Return the reason; nobody may take the racquet, or those who may have begun as many as they may today."""
    nobody = moment.keys.limits.get(one.job)
    if nobody:
        return nobody
    if one.kind == "promise":
        return one.reason
    job = moment.workload.job_by_id[one.job]
    may = [person.id for person in moment.workload.stringers if job.allows_stringer(person.id)]
    capped = [moment.keys.limits[code] for code in may if code in moment.keys.limits]
    return " ".join([one.reason, *capped[:MOST_NAMED]])
