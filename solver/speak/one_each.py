"""Remedies where a match is on top of several racquets: one for each player first, the rest to the court."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from solver.contract.workload import Job, Workload, late_from
from solver.judge.troubles import Trouble
from solver.speak.speech import Speech, in_a_row

TO_THE_COURT = 60
"""Minutes after which a racquet of a bag is still of use: it follows to the court during the match (CP)."""
MOST = 2
"""So many bags are tried one by one, the worst first."""

Kind = Literal["one_each", "later", "ask"]


@dataclass(frozen=True, slots=True)
class Share:
    """One way to share what time there is; what follows to the court is wanted there so much later."""

    kind: Kind
    subject: str
    sentence: str
    workload: Workload


def shares(workload: Workload, troubles: Sequence[Trouble], say: Speech) -> Iterator[Share]:
    """Give one racquet for each in time, then for each of the worst bags some racquets later, or another one first.

    Of a bag one late racquet goes later, then all that are late: where there is time for one, the others follow it.
    """
    late = [t.job for t in troubles if t.kind in ("late", "unplaced")]
    bags = _bags(workload)
    hurt = [bag for bag in bags.values() if len(bag) > 1 and any(job.id in late for job in bag)]
    rest = [job for bag in hurt for job in bag[1:]]
    if len(hurt) > 1:
        sentence = "One racquet for each in time, the rest to the court during the match."
        yield _share("one_each", "", sentence, workload, rest)
    for bag in sorted(hurt, key=lambda bag: min(late.index(job.id) for job in bag if job.id in late))[:MOST]:
        ill = [job for job in bag if job.id in late]
        well = [job for job in bag if job.id not in late]
        yield from _later(workload, bag, ill if well else ill[1:], say)
        for first in ill[:MOST]:
            waits = [*well[:1], *(job for job in ill if job.id != first.id)]
            yield _asked(workload, first, waits, say)


def _later(workload: Workload, bag: Sequence[Job], ill: Sequence[Job], say: Speech) -> Iterator[Share]:
    for later in [ill[-1:], ill] if len(ill) > 1 else [ill]:
        now = [say.name(job.id) for job in bag if job not in later]
        names = in_a_row([say.name(job.id) for job in later])
        sentence = f"Take {in_a_row(now)} now, {names} later to the court."
        yield _share("later", later[-1].id, sentence, workload, later)


def _asked(workload: Workload, first: Job, waits: Sequence[Job], say: Speech) -> Share:
    names = in_a_row([say.name(job.id) for job in waits])
    sentence = (
        f"Ask which racquet matters: {say.name(first.id)} is in time if {names} {'wait' if waits[1:] else 'waits'}."
    )
    return _share("ask", first.id, sentence, workload, waits)


def _bags(workload: Workload) -> dict[tuple[str, int | None], list[Job]]:
    """The racquets of each player for one time that nobody has begun, the most wanted first."""
    bags: dict[tuple[str, int | None], list[Job]] = defaultdict(list)
    for job in workload.jobs:
        if job.started is None and job.due is not None:
            bags[job.player, job.due].append(job)
    for bag in bags.values():
        bag.sort(key=lambda job: (-job.weight, job.id))
    return bags


def _share(kind: Kind, subject: str, sentence: str, workload: Workload, later: Sequence[Job]) -> Share:
    names = frozenset(job.id for job in later)
    jobs = tuple(_to_the_court(job) if job.id in names else job for job in workload.jobs)
    return Share(kind, subject, sentence, replace(workload, jobs=jobs))


def _to_the_court(job: Job) -> Job:
    wanted = late_from(job)
    assert wanted is not None and job.due is not None
    return replace(job, due=job.due + TO_THE_COURT, latest=wanted + TO_THE_COURT, promised=None)
