"""What is wrong with the plan in force, and the remedies that were tried for each racquet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

import solver
from desk.models import Event
from desk.queries.machines.readings_due import WAITS
from desk.queries.plan.plan_changes import plan_in_force
from desk.queries.plan.reasons import reasons_as_tried, spoken_clock
from desk.queries.plan.workloads import Moment, build_moment
from desk.queries.row_making import row_of
from desk.trade.play.needed_by import A_LITTLE_MIN
from solver.judge.troubles import find_troubles
from solver.speak.one_each import shares
from solver.speak.speech import Speech

SECONDS = 0.25


@dataclass(frozen=True, kw_only=True)
class TriedRemedy:
    """A remedy in words, with what it takes to carry it out.

    `kind` is pin, stringer, machine, reading (of a machine that nobody has read today), promise, one_each, later or
    ask; `subject_id` is the machine or the job (None for one more stringer and for one_each); `from_at` and `to_at` its
    hours, or the promise's new time in `to_at`. `later` are the racquets that follow to the court by it, by id and
    tag; `first` the one that is asked about; `others` those whose pins go with that of `subject_id`. `short` says what
    it leaves undone, nothing where it mends all.
    """

    kind: str
    subject_id: int | None
    from_at: datetime
    to_at: datetime
    sentence: str
    saved: int
    mends: int
    later: tuple[tuple[int, str], ...] = ()
    first: tuple[int, str] | None = None
    others: tuple[int, ...] = ()
    short: str = ""

    @property
    def later_ids(self) -> str:
        return ",".join(str(job_id) for job_id, _ in self.later)

    @property
    def other_ids(self) -> str:
        return ",".join(map(str, self.others))


@dataclass(frozen=True, kw_only=True)
class Wrong:
    """One racquet that is late, breaks its promise or has no place: why, and what would mend it.

    Its `kind` is reading where it waits for nothing but the first reading of a machine today.
    """

    job_id: int
    code: str
    racquet: str
    kind: str
    minutes: int
    reason: str
    remedies: tuple[TriedRemedy, ...]

    @property
    def is_a_little(self) -> bool:
        """Whether it is no more than a promise missed by a little."""
        return self.kind == "promise" and self.minutes < A_LITTLE_MIN


def what_is_wrong(session: Session, event_id: int, *, at: datetime) -> Iterator[list[Wrong]]:
    """Read the plan in force; each step of what is returned gives every troubled racquet, the worst first.

    The first step has no remedies yet; each further one takes a plan (SECONDS) and no session.
    """
    moment = build_moment(session, session.get_one(Event, event_id), at)
    plan = plan_in_force(moment)
    later = _later(moment, plan)
    return (_wrong(moment, found, later) for found in reasons_as_tried(moment, plan, seconds=SECONDS))


def _wrong(moment: Moment, found: Sequence[solver.Explanation], later: Mapping[str, tuple[str, ...]]) -> list[Wrong]:
    return [
        row_of(
            Wrong,
            one,
            job_id=moment.keys.jobs[one.job],
            code=moment.keys.racquets[one.job].code,
            racquet=moment.keys.spoken[one.job],
            kind="reading" if one.reason == WAITS else one.kind,
            remedies=tuple(_tried(moment, remedy, later) for remedy in one.remedies),
        )
        for one in found
    ]


def _later(moment: Moment, plan: solver.Plan) -> dict[str, tuple[str, ...]]:
    """Return which racquets each way to share what time there is lets follow to the court, by its sentence."""
    workload, say = moment.workload, Speech(clock=spoken_clock(moment), names=moment.keys.spoken)
    return {
        share.sentence: tuple(job.id for job in share.workload.jobs if job.due != workload.job_by_id[job.id].due)
        for share in shares(workload, find_troubles(workload, plan), say)
    }


def _tried(moment: Moment, remedy: solver.Remedy, later: Mapping[str, tuple[str, ...]]) -> TriedRemedy:
    of_jobs = dict.fromkeys(("pin", "promise", "later", "ask"), moment.keys.jobs)
    subjects = ({"machine": moment.keys.machines} | of_jobs).get(remedy.kind, {})
    name = moment.keys.spoken.get(remedy.subject, "") if remedy.kind == "machine" else ""
    unread = name in moment.readings.names
    start, end = (moment.clock.to_utc(min(minute, 10**6)) for minute in remedy.span)
    return row_of(
        TriedRemedy,
        remedy,
        kind="reading" if unread else remedy.kind,
        sentence=f"{name} read today, and within its tolerance." if unread else remedy.sentence,
        subject_id=subjects.get(remedy.subject),
        from_at=start,
        to_at=end,
        mends=len(remedy.mends),
        later=tuple(_tag(moment, job) for job in later.get(remedy.sentence, ())),
        first=_tag(moment, remedy.subject) if remedy.kind == "ask" else None,
        others=tuple(moment.keys.jobs[job] for job in remedy.others),
    )


def _tag(moment: Moment, job: str) -> tuple[int, str]:
    return moment.keys.jobs[job], moment.keys.spoken[job]
