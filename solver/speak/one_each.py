"""Remedies of a room where a match is on top of several players: one racquet for each first, the rest to the court."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from solver.contract.workload import Job, Workload, late_from
from solver.judge.troubles import Trouble
from solver.speak.speech import Speech

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
    """Give one racquet for each in time, then for each of the worst bags one racquet later, or another one first."""
    late = [t.job for t in troubles if t.kind in ("late", "unplaced")]
    bags = _bags(workload)
    hurt = [bag for bag in bags.values() if len(bag) > 1 and any(job.id in late for job in bag)]
    rest = [job for bag in hurt for job in bag[1:]]
    if len(hurt) > 1:
        sentence = "One racquet for each in time, the rest to the court during the match."
        yield _share("one_each", "", sentence, workload, rest)
    for bag in sorted(hurt, key=lambda bag: min(late.index(job.id) for job in bag if job.id in late))[:MOST]:
        ill = next(job for job in reversed(bag) if job.id in late)
        now = [say.name(job.id) for job in bag if job.id != ill.id]
        yield _share("later", ill.id, f"Take {_and(now)} now, {say.name(ill.id)} later to the court.", workload, [ill])
        first = next(job for job in bag if job.id in late)
        well = next((job for job in bag if job.id not in late), None)
        if well is not None:
            sentence = f"Ask which racquet matters: {say.name(first.id)} is in time if {say.name(well.id)} waits."
            yield _share("ask", first.id, sentence, workload, [well])


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


def _and(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
