"""What would mend a plan's troubles, each remedy tried by planning with it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from solver.contract.plan import Plan
from solver.contract.points import Points
from solver.contract.workload import Job, Workload
from solver.judge.troubles import Trouble, find_troubles
from solver.planning import make_plan
from solver.speak.proposals import PROPOSERS, Kind, Proposal
from solver.speak.speech import Speech, upper_first

EASED_MIN, EASED_PART = 5, 4
"""So many minutes less count as help, and a fourth of the trouble's: a plan made anew differs by less of itself."""
ALL_IN_TIME = ("one_each", "ask")
"""Remedies that say of themselves that a racquet is in time: offered only where that holds."""
GRAVITY = {"unplaced": 3, "late": 2, "promise": 1, "tight": 0}


@dataclass(frozen=True, kw_only=True, slots=True)
class Remedy:
    """Something that was tried and mends a job, or makes it less late.

    `kind` is pin (of job `subject`, lifted with those of `others`), stringer (one more, in `span`), machine (`subject`
    back then), promise (that of job `subject` moved to `span`'s end), one_each (one racquet of every bag first), later
    (`subject` follows to the court) or ask (whether `subject` is the one that matters); `saved` is the points that
    the whole plan gains, `mends` the jobs that are well again. `short` says what it leaves of the job's trouble, or of
    others of its bag; nothing where all is well.
    """

    kind: Kind
    subject: str
    span: tuple[int, int]
    sentence: str
    saved: int
    mends: tuple[str, ...]
    others: tuple[str, ...] = ()
    short: str = ""


Rank = tuple[int, int, int]
Found = tuple[str, Remedy]


def remedies_as_tried(
    workload: Workload,
    plan: Plan,
    troubles: Sequence[Trouble],
    *,
    seconds: float,
    say: Speech,
    points: Points,
) -> Iterator[list[Found]]:
    """Try remedies one by one and give after each trial the jobs that it mends, each with the remedy.

    What mends a job in part follows where no other of its kind mends it whole. `seconds` is the time for each trial;
    there are at most eighteen trials and one for each machine out.
    """
    for propose in PROPOSERS:
        mended: set[str] = set()
        in_part: dict[str, tuple[Rank, Remedy]] = {}
        for proposal in propose(workload, plan, troubles, say):
            again = make_plan(
                proposal.workload, seconds=seconds, previous=plan, points=points, workers=1, bound=False, gaps=False
            )
            trial = _Trial(workload, plan, troubles, proposal, again, say)
            whole = []
            for job, rank, remedy in trial.helped():
                if not remedy.short and job not in mended:
                    whole.append((job, remedy))
                elif remedy.short and remedy.kind not in ALL_IN_TIME and (job not in in_part or rank < in_part[job][0]):
                    in_part[job] = rank, remedy
            mended.update(job for job, _ in whole)
            yield whole
        if rest := [(job, remedy) for job, (_, remedy) in sorted(in_part.items()) if job not in mended]:
            yield rest


class _Trial:
    """A plan made with a remedy, held against the plan without."""

    def __init__(
        self,
        workload: Workload,
        plan: Plan,
        troubles: Sequence[Trouble],
        proposal: Proposal,
        again: Plan,
        say: Speech,
    ) -> None:
        self.workload, self.troubles, self.proposal, self.say = workload, troubles, proposal, say
        self.before, self.after = plan.by_job(), again.by_job()
        self.now: Mapping[str, Trouble] = {t.job: t for t in find_troubles(proposal.workload, again)}
        self.saved = plan.total - again.total

    def helped(self) -> Iterator[tuple[str, Rank, Remedy]]:
        """Give the jobs that it helps, what is left of their trouble as a rank, and the remedy for each."""
        remedy = self._remedy()
        if remedy is None:
            return
        for old in self.troubles:
            if self.proposal.only not in (None, old.job) or not self._is_better(old):
                continue
            left, late = self.now.get(old.job), self._late_of_bag(old.job)
            rank = (GRAVITY[left.kind] if left else 0, left.minutes if left else 0, len(late))
            words = [self._left(left)] if left else []
            words += [self._of_bag(late)] if late else []
            yield old.job, rank, replace(remedy, short=" ".join(words))

    def _remedy(self) -> Remedy | None:
        about = self.proposal
        first, others = about.subjects[0], about.subjects[1:]
        span, sentence = about.span, about.sentence
        if about.kind == "promise":
            if first not in self.after:
                return None
            span = (span[0], self.after[first].end)
            sentence = f"{sentence} {self.say.clock(span[1])}."
        ill = [t.job for t in self.troubles if about.only in (None, t.job)]
        return Remedy(
            kind=about.kind,
            subject=first,
            span=span,
            sentence=sentence,
            saved=self.saved,
            mends=tuple(sorted(job for job in ill if job not in self.now)),
            others=others,
        )

    def _is_better(self, old: Trouble) -> bool:
        new = self.now.get(old.job)
        if new is None:
            return True
        if self.proposal.workload.job_by_id[old.job].due != self.workload.job_by_id[old.job].due:
            return False
        if new.kind == old.kind:
            least = max(EASED_MIN, old.minutes // EASED_PART)
            return new.kind != "unplaced" and new.minutes + least <= old.minutes
        return GRAVITY[new.kind] < GRAVITY[old.kind]

    def _left(self, left: Trouble) -> str:
        """Say by when the job would be ready, and what is still wrong then."""
        was = self.before.get(left.job)
        ready = f"By {self.say.clock(self.after[left.job].end)}"
        instead = f" in place of {self.say.clock(was.end)}, still" if was else ", still"
        past = "late" if left.kind == "late" else "past its promise"
        return f"{ready}{instead} {self.say.length(left.minutes)} {past}."

    def _late_of_bag(self, job_id: str) -> list[Trouble]:
        """Give the player's other racquets for the same time that are late with the remedy, or have no place."""
        job = self.workload.job_by_id[job_id]
        others = (one for one in self.workload.jobs if one.id != job_id and _are_one_bag(one, job))
        found = (self.now[one.id] for one in others if one.id in self.now)
        return [t for t in found if t.kind in ("late", "unplaced")]

    def _of_bag(self, late: Sequence[Trouble]) -> str:
        if len(late) > 1:
            return f"{len(late)} others of the bag are late then."
        (one,) = late
        how = "has no place" if one.kind == "unplaced" else f"is {self.say.length(one.minutes)} late"
        return f"{upper_first(self.say.name(one.job))} {how} then."


def _are_one_bag(one: Job, other: Job) -> bool:
    return one.player == other.player and one.due is not None and one.due == other.due
