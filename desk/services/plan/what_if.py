"""What if: the plan beside a changed one, with nothing kept until somebody says so."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy.orm import Session

import solver
from desk.errors import BadInput
from desk.models import Event, Machine, Stringer
from desk.queries.finding import find, find_of
from desk.queries.plan.plan_changes import Comparison, compare, plan_in_force
from desk.queries.plan.workloads import Moment, build_moment
from desk.queries.play.play_records import clock_of
from desk.services.acting import Acting
from desk.services.machines import machines
from desk.services.team import team
from solver.contract import workload as work

SECONDS = 1.0
MOST_RACQUETS = 100
NEW_PLAYER_RACQUETS = 3
NEW_MINUTES = 24
NEW_WITHIN = 120


@dataclass(frozen=True, kw_only=True)
class Supposition:
    """One thing supposed: `kind` is stringer_leaves, machine_out or more_racquets; from `from_at` on."""

    kind: str
    from_at: datetime
    subject_id: int | None = None
    count: int = 0


@dataclass(frozen=True, kw_only=True)
class Answer:
    """The supposition in words, and the changed plan beside today's."""

    sentence: str
    comparison: Comparison


def what_if(session: Session, event_id: int, supposed: Supposition, *, at: datetime) -> Answer:
    """Plan with the supposition and return the answer; the records stay as they are."""
    event = find(session, Event, event_id, "event")
    moment = build_moment(session, event, at)
    start = moment.clock.to_minutes(supposed.from_at)
    clock = moment.clock.hhmm(start)
    if supposed.kind == "stringer_leaves":
        person = find_of(session, event, Stringer, supposed.subject_id or 0, "stringer")
        workload = _without_stringer(moment.workload, person.code, start)
        sentence = f"{person.name} leaves at {clock}."
    elif supposed.kind == "machine_out":
        machine = find_of(session, event, Machine, supposed.subject_id or 0, "machine")
        workload = _without_machine(moment.workload, machine.code, start)
        sentence = f"{machine.name} is out from {clock} on."
    elif supposed.kind == "more_racquets":
        workload = _with_racquets(moment, supposed.count, start)
        sentence = f"{supposed.count} more racquets at {clock}, needed two hours later."
    else:
        raise BadInput("Choose what to suppose.", fields={"kind": "choose one"})
    after = solver.make_plan(workload, seconds=SECONDS, previous=moment.previous, workers=1, bound=False, gaps=False)
    return Answer(sentence=sentence, comparison=compare(moment, plan_in_force(moment), workload, after))


def keep(session: Session, event_id: int, supposed: Supposition, *, acting: Acting) -> str:
    """Make true that a stringer leaves or a machine is out, until they are back, and return it in words.

    More racquets cannot be kept: they come over the counter.
    """
    event = find(session, Event, event_id, "event")
    from_at = max(supposed.from_at, acting.at)
    clock = f"{clock_of(session, event).local(from_at):%H:%M}"
    if supposed.kind == "stringer_leaves":
        person = find_of(session, event, Stringer, supposed.subject_id or 0, "stringer")
        team.call_in_absent(session, event_id, person.id, acting=acting, reason=f"leaves at {clock}", from_at=from_at)
        return f"{person.name} leaves at {clock}."
    if supposed.kind == "machine_out":
        machine = find_of(session, event, Machine, supposed.subject_id or 0, "machine")
        machines.take_out_of_service(
            session, event_id, machine.id, acting=acting, reason=f"out from {clock} on", from_at=from_at
        )
        return f"{machine.name} is out from {clock} on."
    raise BadInput(
        "Only that a stringer leaves or a machine is out can be kept.", fields={"kind": "choose one of them"}
    )


def _cut(windows: tuple[work.Span, ...], end: int) -> tuple[work.Span, ...]:
    return tuple((a, min(b, end)) for a, b in windows if a < end)


def _without_stringer(workload: solver.Workload, code: str, start: int) -> solver.Workload:
    people = tuple(
        replace(person, windows=_cut(person.windows, start)) if person.id == code else person
        for person in workload.stringers
    )
    return replace(workload, stringers=people)


def _without_machine(workload: solver.Workload, code: str, start: int) -> solver.Workload:
    left = tuple(
        replace(machine, windows=_cut(machine.windows or ((0, 10**7),), start)) if machine.id == code else machine
        for machine in workload.machines
    )
    return replace(workload, machines=left)


def _with_racquets(moment: Moment, count: int, start: int) -> solver.Workload:
    if not 0 < count <= MOST_RACQUETS:
        raise BadInput(
            f"Say how many racquets, from 1 to {MOST_RACQUETS}.", fields={"count": f"from 1 to {MOST_RACQUETS}"}
        )
    more = tuple(
        work.Job(
            id=f"supposed-{number}",
            player=f"supposed-{number // NEW_PLAYER_RACQUETS}",
            minutes=NEW_MINUTES,
            ready_from=max(0, start),
            due=start + NEW_WITHIN,
            weight=5,
        )
        for number in range(count)
    )
    return replace(moment.workload, jobs=(*moment.workload.jobs, *more))
