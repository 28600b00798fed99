"""What would mend a plan's troubles, each remedy tried by planning with it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from solver.contract.plan import Plan
from solver.contract.points import Points
from solver.contract.workload import Job, Machine, Stringer, Workload
from solver.judge.troubles import Trouble, find_troubles
from solver.planning import make_plan
from solver.speak.one_each import shares
from solver.speak.speech import Speech

HOURS = (2, 4, 8)
"""How long another stringer would stay, tried from the shortest."""
PROMISES, PINS = 3, 3
HELPER = "another stringer"
Kind = Literal["pin", "stringer", "machine", "promise", "one_each", "later", "ask"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Remedy:
    """Something that was tried and mends a job.

    `kind` is pin (of job `subject`, lifted), stringer (one more, in `span`), machine (`subject` back then), promise
    (that of job `subject` moved to `span`'s end), one_each (one racquet of every bag first), later (`subject`
    follows to the court) or ask (whether `subject` is the one that matters); `saved` is the points that
    the whole plan gains, `mends` the jobs that are well again.
    """

    kind: Kind
    subject: str
    span: tuple[int, int]
    sentence: str
    saved: int
    mends: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Trial:
    kind: Kind
    subject: str
    span: tuple[int, int]
    sentence: str
    workload: Workload


def remedies_as_tried(
    workload: Workload,
    plan: Plan,
    troubles: Sequence[Trouble],
    *,
    seconds: float,
    say: Speech,
    points: Points,
) -> Iterator[list[tuple[str, Remedy]]]:
    """Try remedies one by one and give after each trial the jobs that it mends, each with the remedy.

    `seconds` is the time for each trial; there are at most fifteen trials and one for each machine out.
    """
    ill = {t.job for t in troubles}
    shared = list(_shared(workload, troubles, say))
    for trials in (
        _pins_lifted(workload, troubles, say),
        _more_hands(workload, plan, troubles, say),
        _machines_back(workload, troubles, say),
        (one for one in shared if one.kind != "ask"),
        (one for one in shared if one.kind == "ask"),
    ):
        mended_by_kind: set[str] = set()
        for trial in trials:
            remedy = _try(trial, plan, ill, seconds, points)
            fresh = set(remedy.mends) - mended_by_kind
            mended_by_kind |= fresh
            yield [(job, remedy) for job in sorted(fresh)]
    for job, remedy in _promises_moved(workload, plan, troubles, seconds, say, points):
        yield [(job, remedy)]


def _try(trial: _Trial, plan: Plan, ill: set[str], seconds: float, points: Points) -> Remedy:
    again = make_plan(trial.workload, seconds=seconds, previous=plan, points=points, workers=1, bound=False, gaps=False)
    still = {t.job for t in find_troubles(trial.workload, again)}
    return Remedy(
        kind=trial.kind,
        subject=trial.subject,
        span=trial.span,
        sentence=trial.sentence,
        saved=plan.total - again.total,
        mends=tuple(sorted(ill - still)),
    )


def _shared(workload: Workload, troubles: Sequence[Trouble], say: Speech) -> Iterator[_Trial]:
    for share in shares(workload, troubles, say):
        span = (workload.now, workload.now)
        yield _Trial(share.kind, share.subject, span, share.sentence, share.workload)


def _pins_lifted(workload: Workload, troubles: Sequence[Trouble], say: Speech) -> Iterator[_Trial]:
    """The pin of each of the worst troubles lifted."""
    pinned = [t.job for t in troubles if _is_pinned(workload.job_by_id[t.job])]
    for job_id in pinned[:PINS]:
        jobs = tuple(
            replace(j, pinned_stringer=None, pinned_machine=None) if j.id == job_id else j for j in workload.jobs
        )
        span = (workload.now, workload.now)
        yield _Trial("pin", job_id, span, f"The pin of {say.name(job_id)} lifted.", replace(workload, jobs=jobs))


def _is_pinned(job: Job) -> bool:
    return job.started is None and (job.pinned_stringer is not None or job.pinned_machine is not None)


def _more_hands(workload: Workload, plan: Plan, troubles: Sequence[Trouble], say: Speech) -> Iterator[_Trial]:
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
        yield _Trial(
            "stringer", HELPER, span, sentence, replace(workload, stringers=(*workload.stringers, hand), jobs=jobs)
        )


def _open_to_helper(job: Job) -> Job:
    return job if job.stringers is None else replace(job, stringers=(*job.stringers, HELPER))


def _machines_back(workload: Workload, troubles: Sequence[Trouble], say: Speech) -> Iterator[_Trial]:
    for machine in workload.machines:
        if machine.windows is None or any(a <= workload.now < b for a, b in machine.windows):
            continue
        back = Machine(id=machine.id, windows=((workload.now, 10**7),))
        machines = tuple(back if m.id == machine.id else m for m in workload.machines)
        sentence = f"{_upper(say.machine(machine.id))} back in service at {say.clock(workload.now)}."
        span = (workload.now, 10**7)
        yield _Trial("machine", machine.id, span, sentence, replace(workload, machines=machines))


def _promises_moved(
    workload: Workload,
    plan: Plan,
    troubles: Sequence[Trouble],
    seconds: float,
    say: Speech,
    points: Points,
) -> Iterator[tuple[str, Remedy]]:
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
        trial = _Trial("promise", other, (0, 0), "", replace(workload, jobs=jobs))
        again = make_plan(
            trial.workload, seconds=seconds, previous=plan, points=points, workers=1, bound=False, gaps=False
        )
        if trouble.job in {t.job for t in find_troubles(trial.workload, again)} or other not in again.by_job():
            continue
        end = again.by_job()[other].end
        sentence = f"The promise of {say.name(other)} moved to {say.clock(end)}."
        yield (
            trouble.job,
            Remedy(
                kind="promise",
                subject=other,
                span=(workload.now, end),
                sentence=sentence,
                saved=plan.total - again.total,
                mends=(trouble.job,),
            ),
        )


def _is_promised(workload: Workload, job_id: str) -> bool:
    job = workload.job_by_id[job_id]
    return job.promised is not None and job.started is None


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
