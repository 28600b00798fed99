"""Why a job is late, left out or breaks its promise, each in one sentence."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from solver.contract.plan import Plan
from solver.contract.points import Points
from solver.contract.workload import Workload
from solver.judge.troubles import Kind, find_troubles
from solver.speak.causes import Causes
from solver.speak.remedies import Remedy, remedies_as_tried
from solver.speak.speech import Clock, Length, Speech, in_minutes, wall_clock


@dataclass(frozen=True, kw_only=True, slots=True)
class Explanation:
    """What is wrong with one job, why, and which tried remedies mend it."""

    job: str
    kind: Kind
    minutes: int
    reason: str
    remedies: tuple[Remedy, ...] = ()


def explain(
    workload: Workload,
    plan: Plan,
    *,
    remedies: bool = True,
    tight: bool = False,
    seconds: float = 0.3,
    clock: Clock = wall_clock,
    length: Length = in_minutes,
    names: Mapping[str, str] | None = None,
    points: Points | None = None,
) -> list[Explanation]:
    """Explain every job of a plan that is late, left out or breaks its promise.

    Parameters
    ----------
    workload, plan : Workload, Plan
        What was planned, and how.
    remedies : bool
        Whether to try, by planning with it, what would mend each.
    tight : bool
        Whether to explain also what is done between `due` and `latest`; no remedy is tried for it.
    seconds : float
        Time for each plan that tries a remedy.
    clock : callable
        Turns a minute into what a person reads.
    length : callable
        Turns a number of minutes into what a person reads.
    names : mapping of str to str, optional
        How the ids of jobs, stringers and machines are spoken; an id that is not in it stays.
    points : Points, optional
        What each shortcoming costs.

    Returns
    -------
    list of Explanation
        The worst first.
    """
    steps = explain_as_tried(
        workload, plan, tight=tight, seconds=seconds, clock=clock, length=length, names=names, points=points
    )
    found = next(steps)
    for step in steps if remedies else ():
        found = step
    return found


def explain_as_tried(
    workload: Workload,
    plan: Plan,
    *,
    tight: bool = False,
    seconds: float = 0.3,
    clock: Clock = wall_clock,
    length: Length = in_minutes,
    names: Mapping[str, str] | None = None,
    points: Points | None = None,
) -> Iterator[list[Explanation]]:
    """Explain as `explain` does, at once without remedies, then anew after each remedy that was tried."""
    troubles = find_troubles(workload, plan, tight=tight)
    say = Speech(clock=clock, length=length, names=names or {})
    causes = Causes(workload, plan, say)
    found = [Explanation(job=t.job, kind=t.kind, minutes=t.minutes, reason=causes.of(t)) for t in troubles]
    yield found
    to_mend = [t for t in troubles if t.kind != "tight"]
    if not to_mend:
        return
    tried = remedies_as_tried(workload, plan, to_mend, seconds=seconds, say=say, points=points or workload.points)
    for fresh in tried:
        mended = dict(fresh)
        found = [_with(one, mended[one.job]) if one.job in mended else one for one in found]
        yield found


def _with(one: Explanation, remedy: Remedy) -> Explanation:
    """Give an explanation with a remedy more: those that mend it whole go before those that leave something."""
    return replace(one, remedies=tuple(sorted((*one.remedies, remedy), key=lambda each: each.short != "")))
