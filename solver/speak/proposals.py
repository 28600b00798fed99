"""What might mend a plan's troubles, as workloads to plan: pins lifted, another hand, a machine, a promise moved."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from solver.contract.plan import Plan
from solver.contract.workload import Job, Stringer, Workload
from solver.judge.troubles import Trouble
from solver.speak.one_each import shares
from solver.speak.pins import is_pinned, pinned_with, without_pins
from solver.speak.speech import Speech, upper_first

HOURS = (2, 4, 8)
"""How long another stringer would stay, tried from the shortest."""
PROMISES, PINS = 3, 3
HELPER = "another stringer"
Kind = Literal["pin", "stringer", "machine", "promise", "one_each", "later", "ask"]
Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Proposal:
    """A workload to plan, and how it is said; `only` is the one job whose trouble it is tried for, where it is one.

    `subjects` are the jobs or the machine it is about, the first for all. The sentence of a promise moved lacks its
    new time, which the plan gives.
    """

    kind: Kind
    subjects: tuple[str, ...]
    span: Span
    sentence: str
    workload: Workload
    only: str | None = None


Proposer = Callable[[Workload, Plan, Sequence[Trouble], Speech], Iterator[Proposal]]


def pins_lifted(workload: Workload, plan: Plan, troubles: Sequence[Trouble], say: Speech) -> Iterator[Proposal]:
    """The pins of each of the worst troubles lifted, with those of the player's racquets that are kept with it."""
    seen: set[str] = set()
    bags = 0
    for job in (workload.job_by_id[t.job] for t in troubles):
        if not is_pinned(job) or job.id in seen or bags == PINS:
            continue
        others = [one.id for one in pinned_with(workload, job) if one.id != job.id]
        names = (job.id, *others)
        seen.update(names)
        bags += 1
        sentence = f"The pin of {say.name(job.id)} lifted."
        if others:
            more = f"the player's {len(others)} others" if len(others) > 1 else "the player's other one"
            sentence = f"The pins of {say.name(job.id)} and {more} lifted."
        yield Proposal("pin", names, (workload.now, workload.now), sentence, without_pins(workload, names))


def more_hands(workload: Workload, plan: Plan, troubles: Sequence[Trouble], say: Speech) -> Iterator[Proposal]:
    """Another stringer from now, or from when the first troubled job is there, for 2, 4 and 8 hours."""
    ill = [workload.job_by_id[t.job] for t in troubles if workload.job_by_id[t.job].started is None]
    if not ill:
        return
    begin = max(workload.now, min(j.ready_from for j in ill))
    known = {s.home for s in workload.stringers}
    spare = next((m.id for m in workload.machines if m.id not in known and m.windows is None), None)
    for hours in HOURS:
        span = (begin, begin + hours * 60)
        hand = Stringer(id=HELPER, windows=(span,), home=spare)
        jobs = tuple(_open_to_helper(j) for j in workload.jobs)
        where = f" at {say.machine(spare)}" if spare else ", who shares the machines that are free"
        sentence = f"One more stringer from {say.clock(span[0])} to {say.clock(span[1])}{where}."
        more = replace(workload, stringers=(*workload.stringers, hand), jobs=jobs)
        yield Proposal("stringer", (HELPER,), span, sentence, more)


def _open_to_helper(job: Job) -> Job:
    return job if job.stringers is None else replace(job, stringers=(*job.stringers, HELPER))


def machines_back(workload: Workload, plan: Plan, troubles: Sequence[Trouble], say: Speech) -> Iterator[Proposal]:
    """Each machine that is out, back now."""
    for machine in workload.machines:
        if machine.windows is None or any(a <= workload.now < b for a, b in machine.windows):
            continue
        span = (workload.now, 10**7)
        back = replace(machine, windows=(span,))
        machines = tuple(back if m.id == machine.id else m for m in workload.machines)
        sentence = f"{upper_first(say.machine(machine.id))} back in service at {say.clock(workload.now)}."
        yield Proposal("machine", (machine.id,), span, sentence, replace(workload, machines=machines))


def time_shared(workload: Workload, plan: Plan, troubles: Sequence[Trouble], say: Speech) -> Iterator[Proposal]:
    """One racquet of every bag first, or some of a bag now and some later."""
    for share in shares(workload, troubles, say):
        if share.kind != "ask":
            yield Proposal(share.kind, (share.subject,), (workload.now,) * 2, share.sentence, share.workload)


def asked_which_first(workload: Workload, plan: Plan, troubles: Sequence[Trouble], say: Speech) -> Iterator[Proposal]:
    """Another racquet of a bag first: the player is asked which one matters."""
    for share in shares(workload, troubles, say):
        if share.kind == "ask":
            span = (workload.now, workload.now)
            yield Proposal("ask", (share.subject,), span, share.sentence, share.workload, only=share.subject)


def promises_moved(workload: Workload, plan: Plan, troubles: Sequence[Trouble], say: Speech) -> Iterator[Proposal]:
    """The promise of a job that stands in the way given up: tried for the worst troubles."""
    places = plan.by_job()
    for trouble in [t for t in troubles if t.kind != "unplaced"][:PROMISES]:
        mine = places[trouble.job]
        ahead = [
            (a.end, a.job)
            for a in plan.assignments
            if a.stringer == mine.stringer and a.end <= mine.start and _is_promised(workload, a.job)
        ]
        if not ahead:
            continue
        other = max(ahead)[1]
        jobs = tuple(replace(j, promised=None) if j.id == other else j for j in workload.jobs)
        sentence = f"The promise of {say.name(other)} moved to"
        given_up = replace(workload, jobs=jobs)
        yield Proposal("promise", (other,), (workload.now, workload.now), sentence, given_up, only=trouble.job)


def _is_promised(workload: Workload, job_id: str) -> bool:
    job = workload.job_by_id[job_id]
    return job.promised is not None and job.started is None


PROPOSERS: tuple[Proposer, ...] = (
    pins_lifted,
    more_hands,
    machines_back,
    time_shared,
    asked_which_first,
    promises_moved,
)
"""The kinds of remedies in the order in which they are tried."""
