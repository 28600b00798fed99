"""When a new job would be ready: without disturbing anybody, or sooner at a price to others."""

from collections.abc import Iterator
from dataclasses import dataclass

from solver.contract.plan import Assignment, Plan
from solver.contract.points import Points
from solver.contract.workload import Job, Workload, late_from, may_string
from solver.judge.costs import leaving_out_cost
from solver.queues import Queues, Sooner

OFFERS = 3


@dataclass(frozen=True, kw_only=True, slots=True)
class Quote:
    """Where a new job would go.

    `place` disturbs nobody (None when there is no such place: `why_not` says why), `late` is minutes
    past `latest` there (past `due` where nothing is later), `tight` minutes past `due` of a place that is
    not late, `added` the points it adds. `sooner` lists what would be earlier,
    the earliest last, each with its price to the others and a place for all of them. `best` costs least in all, the
    price to others counted in: what the next plan is likely to do. It leaves another out where that costs less than
    to leave out the job.
    """

    place: Assignment | None
    late: int = 0
    tight: int = 0
    added: int = 0
    why_not: str = ""
    sooner: tuple[Sooner, ...] = ()
    best: Sooner | None = None


def quote(workload: Workload, plan: Plan, job: Job, *, points: Points | None = None) -> Quote:
    """Quote a job that is not in the workload yet against the plan in force.

    Parameters
    ----------
    workload : Workload
        The desk as it is; times in whole minutes.
    plan : Plan
        What is planned now; nothing of it is moved for the quote itself.
    job : Job
        The new job, with an id that the workload does not have.
    points : Points, optional
        What each shortcoming costs.

    Returns
    -------
    Quote
        The place of least cost among the earliest free ones of each stringer, and up to three sooner ones.
    """
    points = points or workload.points
    queues = Queues(workload, plan)
    free = [Sooner(place=place, moved=(), price=0, breaks=()) for place in queues.free_places(job)]

    def cost(offer: Sooner) -> tuple[int, int, int, str]:
        points_in_all = queues.added(job, offer.place, points) + offer.price
        return points_in_all, len(offer.moved), offer.place.end, offer.place.stringer

    without = leaving_out_cost(workload, job, points)
    offers = [one for one in queues.sooner_places(job, points) if not one.left_out or cost(one)[0] < without]
    if not free and not offers:
        return Quote(place=None, why_not=_why_not(workload, job))
    pushed = [one for one in offers if not one.left_out]
    best = min((*free, *offers), key=cost)
    if not free:
        return Quote(place=None, why_not=_why_not(workload, job), sooner=_front(iter(pushed)), best=best)
    place = min(free, key=cost).place
    return Quote(
        place=place,
        late=(late := _past(place.end, late_from(job))),
        tight=0 if late else _past(place.end, job.due),
        added=queues.added(job, place, points),
        sooner=_front(s for s in pushed if s.place.end < place.end),
        best=best,
    )


def _past(end: int, wanted: int | None) -> int:
    return 0 if wanted is None else max(0, end - wanted)


def _why_not(workload: Workload, job: Job) -> str:
    if not may_string(workload, job):
        return "No stringer may take it: look at its list and its pin."
    if not any(job.allows_machine(m.id) for m in workload.machines):
        return "No machine may take it: look at its list and its pin."
    return "No stringer and machine are free together for long enough in the hours that are known."


def _front(found: Iterator[Sooner]) -> tuple[Sooner, ...]:
    """Keep the offers that are not beaten in both end and price; the cheapest first."""
    kept: list[Sooner] = []
    for offer in sorted(found, key=lambda s: (s.price, s.place.end)):
        if not kept or offer.place.end < kept[-1].place.end:
            kept.append(offer)
    return tuple(kept) if len(kept) <= OFFERS else (kept[0], kept[len(kept) // 2], kept[-1])
