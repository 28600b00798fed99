"""Why a racquet is late, breaks its promise or has no place, with what the desk knows beyond the workload."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

import solver
from desk.queries.machines.readings_due import WAITS
from desk.queries.plan.workloads import Moment

MOST_NAMED = 3


def reasons(moment: Moment, plan: solver.Plan) -> list[solver.Explanation]:
    """Return what `solver.explain` says of a plan, the worst first, with who may not take the racquet and why."""
    return _spoken(moment, plan, solver.explain(moment.workload, plan, remedies=False, **_words(moment)))


def reasons_as_tried(moment: Moment, plan: solver.Plan, *, seconds: float) -> Iterator[list[solver.Explanation]]:
    """Yield the reasons at once, then anew with the remedies after each trial."""
    for found in solver.explain_as_tried(moment.workload, plan, seconds=seconds, **_words(moment)):
        yield _spoken(moment, plan, found)


def _words(moment: Moment) -> dict[str, Any]:
    return {"clock": moment.clock.hhmm, "names": moment.keys.spoken}


def waits_for_reading(moment: Moment, place: solver.Assignment | None) -> bool:
    """Tell whether a racquet with this place is planned on a later day for want of a reading alone."""
    if place is None:
        return False
    job = moment.workload.job_by_id[place.job]
    earliest = max(job.ready_from, job.fresh_from or 0)
    return moment.readings.hold_up(moment.clock.to_utc(place.start), moment.clock.to_utc(earliest))


def _spoken(moment: Moment, plan: solver.Plan, found: Sequence[solver.Explanation]) -> list[solver.Explanation]:
    places = plan.by_job()
    return [
        replace(one, reason=WAITS if waits_for_reading(moment, places.get(one.job)) else _with_limits(moment, one))
        for one in found
    ]


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
