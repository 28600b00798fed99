"""Why a racquet is late, breaks its promise or has no place, with what the desk knows beyond the workload."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

import solver
from desk.queries.machines.readings_due import WAITS
from desk.queries.plan.workloads import Moment
from desk.queries.spans import OPEN_END
from desk.trade.event.event_time import span
from solver.speak.speech import Clock

MOST_NAMED = 3


def reasons(moment: Moment, plan: solver.Plan) -> list[solver.Explanation]:
    """Return what `solver.explain` says of a plan, the worst first, with who may not take the racquet and why."""
    return _spoken(moment, plan, solver.explain(moment.workload, plan, remedies=False, **_words(moment)))


def reason_of(moment: Moment, plan: solver.Plan, name: str) -> str:
    """Return why one racquet stands as it does: its trouble's reason, else whose most of a day puts it off."""
    found = next((one.reason for one in reasons(moment, plan) if one.job == name), None)
    return " ".join(_capped(moment, name, plan.by_job().get(name))) if found is None else found


def reasons_as_tried(moment: Moment, plan: solver.Plan, *, seconds: float) -> Iterator[list[solver.Explanation]]:
    """Yield the reasons at once, then anew with the remedies after each trial."""
    for found in solver.explain_as_tried(moment.workload, plan, seconds=seconds, **_words(moment)):
        yield _spoken(moment, plan, found)


def _words(moment: Moment) -> dict[str, Any]:
    return {"clock": spoken_clock(moment), "length": span, "names": moment.keys.spoken}


def spoken_clock(moment: Moment) -> Clock:
    """Return how a minute is said in a sentence: with its day where that is not today's."""
    clock = moment.clock
    now = clock.to_utc(moment.workload.now)
    return lambda minute: clock.spoken(clock.to_utc(minute), now)


def waits_for_reading(moment: Moment, place: solver.Assignment | None) -> bool:
    """Tell whether a racquet with this place is planned on a later day for want of a reading alone."""
    if place is None:
        return False
    job = moment.workload.job_by_id[place.job]
    earliest = max(job.ready_from, job.fresh_from or 0)
    return moment.readings.hold_up(moment.clock.to_utc(place.start), moment.clock.to_utc(earliest))


def _spoken(moment: Moment, plan: solver.Plan, found: Sequence[solver.Explanation]) -> list[solver.Explanation]:
    places = plan.by_job()
    return [replace(one, reason=_with_limits(moment, one, places.get(one.job))) for one in found]


def _with_limits(moment: Moment, one: solver.Explanation, place: solver.Assignment | None) -> str:
    """Return the reason, first what no plan can change: no machine is read, or nobody may take the racquet.

    The most racquets of a day are named where they take hours away before the racquet is begun.
    """
    if waits_for_reading(moment, place):
        return WAITS
    nobody = moment.keys.limits.get(one.job)
    if nobody:
        return nobody
    return " ".join([one.reason, *_capped(moment, one.job, place)])


def _capped(moment: Moment, name: str, place: solver.Assignment | None) -> list[str]:
    """Say whose most racquets of a day take hours away before a racquet is begun."""
    job = moment.workload.job_by_id[name]
    if job.started is not None:
        return []
    since = moment.clock.to_utc(max(moment.workload.now, job.ready_from))
    until = OPEN_END if place is None else moment.clock.to_utc(place.start)
    may = [person.id for person in moment.workload.stringers if job.allows_stringer(person.id)]
    capped = [
        f"{moment.keys.spoken[code]} {most.words}."
        for code, most in moment.keys.most.items()
        if code in may and any(start < until and end > since for start, end in most.cut)
    ]
    return capped[:MOST_NAMED]
