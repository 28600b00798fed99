"""The goals of a plan: one function for each heading of its costs."""

from collections.abc import Callable, Mapping
from functools import partial

from ortools.sat.python import cp_model

from solver.contract.calendar import horizon, lengths
from solver.contract.end_points import late_parts, promise_parts
from solver.contract.points import Points
from solver.contract.workload import Job, Workload, earliest_start, is_stale, kinds_of, waits_from
from solver.judge.costs import leaving_out_cost
from solver.model.by_end import minutes_past, points_by_end
from solver.model.variables import Variables

Term = cp_model.LinearExpr | cp_model.IntVar | int
Goal = Callable[[cp_model.CpModel, Workload, Variables, Points], Term]


def unplaced(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """A job left out costs its price."""
    return sum(leaving_out_cost(workload, job, points) * variables.planned[job.id].negated() for job in workload.jobs)


def late(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """Each minute past `due`, and more past `latest`, costs by the job's weight, up to the cap."""
    return sum(points_by_end(model, workload, variables, job, late_parts(job, points)) for job in workload.jobs)


def promise(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """Each minute past the promised time costs, up to the cap."""
    return sum(points_by_end(model, workload, variables, job, promise_parts(job, points)) for job in workload.jobs)


def extra_stringer(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """Each stringer new to a player costs, but the first."""
    past = {player: history.stringers for player, history in workload.history.items()}
    return points.extra_stringer * _new_to_players(
        model, variables.knows_stringer, past, variables.stringers_past_first
    )


def extra_machine(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """Each machine new to a player costs, but the first."""
    past = {player: history.machines for player, history in workload.history.items()}
    return points.extra_machine * _new_to_players(model, variables.knows_machine, past, variables.machines_past_first)


def extra_kind(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """Each kind of machine new to a player costs, but the first."""
    past = {player: tuple(kinds_of(workload, history.machines)) for player, history in workload.history.items()}
    return points.extra_kind * _new_to_players(model, variables.knows_kind, past, variables.kinds_past_first)


def away(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """A job away from the home machine of its stringer costs."""
    home = {s.id: s.home for s in workload.stringers}
    return points.away * sum(
        chosen for (_, stringer, machine), chosen in variables.at_bench.items() if home[stringer] not in (None, machine)
    )


def over_target(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """Each minute of bench time beyond the target costs."""
    return points.over_target * sum(
        max(0, length - workload.target_minutes) * variables.with_stringer[job.id, stringer]
        for job in workload.jobs
        for stringer, length in lengths(workload, job).items()
    )


def moved(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """A job that leaves its planned stringer costs."""
    return points.moved * sum(
        variables.with_stringer[job.id, s.id]
        for job in workload.jobs
        for s in workload.stringers
        if job.planned_stringer not in (None, s.id)
    )


def stale(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """A job that starts before its player wants it strung costs."""
    found: list[Term] = []
    for job in workload.jobs:
        if job.fresh_from is None or not is_stale(job, earliest_start(workload, job)):
            continue
        literal = model.new_bool_var(f"{job.id} stale")
        fresh = variables.start[job.id] >= job.fresh_from
        model.add(fresh).only_enforce_if(variables.planned[job.id], literal.negated())
        variables.by_end[job.id].append((literal, partial(_starts_stale, job)))
        found.append(literal)
    return points.stale * sum(found)


def waiting(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """Each minute from `ready_from`, or `fresh_from` where that is later, to the end of a planned job costs."""
    waited: list[Term] = []
    for job in workload.jobs:
        since, first = waits_from(job), earliest_start(workload, job)
        end, planned = variables.end[job.id], variables.planned[job.id]
        if since <= (first if job.started is None else job.started.end):
            waited.append(end - since - (first - since) * planned.negated())
            continue
        waited.append(minutes_past(model, variables, job, since, None, horizon(workload)))
    return points.waiting * sum(waited)


GOALS: Mapping[str, Goal] = {
    "unplaced": unplaced,
    "late": late,
    "promise": promise,
    "extra_stringer": extra_stringer,
    "extra_machine": extra_machine,
    "extra_kind": extra_kind,
    "away": away,
    "over_target": over_target,
    "moved": moved,
    "stale": stale,
    "waiting": waiting,
}


def _starts_stale(job: Job, start: int, _end: int, is_planned: bool) -> bool:
    return is_planned and is_stale(job, start)


def _new_to_players(
    model: cp_model.CpModel,
    knows: Mapping[tuple[str, str], cp_model.IntVar],
    past: Mapping[str, tuple[str, ...]],
    past_first: dict[str, cp_model.IntVar],
) -> Term:
    known_by: dict[str, list[tuple[str, cp_model.IntVar]]] = {}
    for (player, name), known in knows.items():
        known_by.setdefault(player, []).append((name, known))
    terms: list[Term] = []
    for player, pairs in known_by.items():
        before = past.get(player, ())
        new = [known for name, known in pairs if name not in before]
        if before:
            terms += new
            continue
        past_first[player] = model.new_int_var(0, max(0, len(new) - 1), f"new to {player}")
        model.add(past_first[player] >= sum(new) - 1)
        terms.append(past_first[player])
    return sum(terms)
