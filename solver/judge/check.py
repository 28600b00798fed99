"""The rules of a plan once more, without any solver: one check for each rule, by the same name."""

import itertools
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from solver.contract.plan import Assignment, Plan
from solver.contract.workload import Workload, bench_minutes, earliest_start, inside


@dataclass(frozen=True, kw_only=True, slots=True)
class Fault:
    """A rule that a plan breaks, said in a sentence, with the jobs concerned."""

    rule: str
    message: str
    jobs: tuple[str, ...] = ()


Check = Callable[[Workload, Plan], Iterator[Fault]]


def check_plan(workload: Workload, plan: Plan) -> list[Fault]:
    """Give every breach of a rule in `plan`; an empty list when it keeps them all.

    Parameters
    ----------
    workload : Workload
        What was to be planned.
    plan : Plan
        Any plan, made by hand or by `make_plan`.

    Returns
    -------
    list of Fault
        In the order of `CHECKS`.
    """
    return [fault for check in CHECKS for fault in check(workload, plan)]


def every_job_once(workload: Workload, plan: Plan) -> Iterator[Fault]:
    """Every job is planned once or listed as unplaced, and nothing else is."""
    planned: dict[str, int] = defaultdict(int)
    for a in plan.assignments:
        planned[a.job] += 1
    left_out = set(plan.unplaced)
    for name in sorted((set(planned) | left_out) - set(workload.job_by_id)):
        yield Fault(rule="every_job_once", message=f"There is no job {name}.", jobs=(name,))
    for job in workload.jobs:
        count = planned[job.id] + (job.id in left_out)
        if count == 0:
            message = f"{job.id} is neither planned nor listed as unplaced."
        elif planned[job.id] > 1:
            message = f"{job.id} is planned {planned[job.id]} times."
        elif count > 1:
            message = f"{job.id} is both planned and listed as unplaced."
        else:
            continue
        yield Fault(rule="every_job_once", message=message, jobs=(job.id,))


def started_jobs_stand(workload: Workload, plan: Plan) -> Iterator[Fault]:
    """A started racquet stays with its stringer, at its machine, at its times, and in the plan."""
    planned = plan.by_job()
    for job in workload.jobs:
        if (s := job.started) is None:
            continue
        a = planned.get(job.id)
        if a is None:
            message = f"{job.id} is on the machine already and must stand in the plan."
        elif (a.stringer, a.machine, a.start, a.end) != (s.stringer, s.machine, s.start, s.end):
            message = f"{job.id} is on machine {s.machine} with {s.stringer} till {s.end}: it cannot change."
        else:
            continue
        yield Fault(rule="started_jobs_stand", message=message, jobs=(job.id,))


def not_before_ready(workload: Workload, plan: Plan) -> Iterator[Fault]:
    """A job starts at or after `now` and its `ready_from`."""
    for a in _open(workload, plan):
        earliest = earliest_start(workload, workload.job_by_id[a.job])
        if a.start < earliest:
            message = f"{a.job} starts at {a.start}, before it can at {earliest}."
            yield Fault(rule="not_before_ready", message=message, jobs=(a.job,))


def takes_bench_time(workload: Workload, plan: Plan) -> Iterator[Fault]:
    """A job takes exactly its minutes at its stringer's pace."""
    for a in _open(workload, plan):
        stringer = workload.stringer_by_id.get(a.stringer)
        if stringer is None:
            continue
        needed = bench_minutes(workload.job_by_id[a.job], stringer)
        if a.end - a.start != needed:
            message = f"{a.job} takes {needed} minutes with {a.stringer}, not {a.end - a.start}."
            yield Fault(rule="takes_bench_time", message=message, jobs=(a.job,))


def within_stringer_hours(workload: Workload, plan: Plan) -> Iterator[Fault]:
    """A job lies inside one window of its stringer, whole."""
    for a in _open(workload, plan):
        stringer = workload.stringer_by_id.get(a.stringer)
        if stringer is not None and not inside(a.start, a.end, stringer.windows):
            message = f"{a.job} at {a.start} to {a.end} is outside the hours of {a.stringer}."
            yield Fault(rule="within_stringer_hours", message=message, jobs=(a.job,))


def within_machine_hours(workload: Workload, plan: Plan) -> Iterator[Fault]:
    """A job lies inside one window of its machine, whole."""
    for a in _open(workload, plan):
        machine = workload.machine_by_id.get(a.machine)
        if machine is not None and not inside(a.start, a.end, machine.windows):
            message = f"{a.job} at {a.start} to {a.end} is outside the hours of machine {a.machine}."
            yield Fault(rule="within_machine_hours", message=message, jobs=(a.job,))


def goes_where_it_may(workload: Workload, plan: Plan) -> Iterator[Fault]:
    """The lists and pins of a job hold, and its stringer and machine exist."""
    for a in _open(workload, plan):
        job = workload.job_by_id[a.job]
        if a.stringer not in workload.stringer_by_id:
            message = f"{a.job} is with {a.stringer}, who is no stringer here."
        elif a.machine not in workload.machine_by_id:
            message = f"{a.job} is at {a.machine}, which is no machine here."
        elif not job.allows_stringer(a.stringer):
            message = f"{a.job} may not go to stringer {a.stringer}."
        elif not job.allows_machine(a.machine):
            message = f"{a.job} may not go to machine {a.machine}."
        else:
            continue
        yield Fault(rule="goes_where_it_may", message=message, jobs=(a.job,))


def keeps_its_turn(workload: Workload, plan: Plan) -> Iterator[Fault]:
    """A job starts when those that it comes after with the same stringer have ended."""
    planned = plan.by_job()
    for a in _open(workload, plan):
        for name in workload.job_by_id[a.job].after:
            ahead = planned.get(name)
            if ahead is not None and ahead.stringer == a.stringer and a.start < ahead.end:
                message = f"{a.job} is to come after {name} with {a.stringer}, which ends at {ahead.end}."
                yield Fault(rule="keeps_its_turn", message=message, jobs=(a.job, name))


def one_racquet_a_stringer(workload: Workload, plan: Plan) -> Iterator[Fault]:
    """A stringer has one racquet at a time."""
    yield from _overlaps("one_racquet_a_stringer", plan, lambda a: a.stringer)


def one_racquet_a_machine(workload: Workload, plan: Plan) -> Iterator[Fault]:
    """A machine holds one racquet at a time."""
    yield from _overlaps("one_racquet_a_machine", plan, lambda a: a.machine)


CHECKS: tuple[Check, ...] = (
    every_job_once,
    started_jobs_stand,
    not_before_ready,
    takes_bench_time,
    within_stringer_hours,
    within_machine_hours,
    goes_where_it_may,
    keeps_its_turn,
    one_racquet_a_stringer,
    one_racquet_a_machine,
)


def _open(workload: Workload, plan: Plan) -> Iterator[Assignment]:
    """Give the assignments of known jobs that are not on a machine yet."""
    for a in plan.assignments:
        job = workload.job_by_id.get(a.job)
        if job is not None and job.started is None:
            yield a


def _overlaps(rule: str, plan: Plan, who: Callable[[Assignment], str]) -> Iterator[Fault]:
    busy: dict[str, list[Assignment]] = defaultdict(list)
    for a in plan.assignments:
        busy[who(a)].append(a)
    for name, spans in busy.items():
        spans.sort(key=lambda a: (a.start, a.end))
        for first, second in itertools.pairwise(spans):
            if second.start < first.end:
                message = f"{name} has {first.job} until {first.end} and {second.job} from {second.start}."
                yield Fault(rule=rule, message=message, jobs=(first.job, second.job))
