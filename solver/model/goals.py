"""The goals of a plan: one function for each heading of its costs."""

from collections.abc import Callable, Mapping

from ortools.sat.python import cp_model

from solver.contract.calendar import horizon, lengths
from solver.contract.points import Points
from solver.contract.workload import Job, Workload, earliest_start
from solver.judge.costs import leaving_out_cost
from solver.model.variables import Variables

Term = cp_model.LinearExpr | cp_model.IntVar | int
Goal = Callable[[cp_model.CpModel, Workload, Variables, Points], Term]


def unplaced(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """A job left out costs its price."""
    return sum(leaving_out_cost(workload, job, points) * variables.planned[job.id].negated() for job in workload.jobs)


def late(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """Each minute past `due` costs by the job's weight, up to the cap."""
    prices = {job.id: (job.due, points.late * job.weight) for job in workload.jobs}
    return _lateness(model, workload, variables, points, prices)


def promise(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """Each minute past the promised time costs, up to the cap."""
    prices = {job.id: (job.promised, points.promise) for job in workload.jobs}
    return _lateness(model, workload, variables, points, prices)


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


def waiting(model: cp_model.CpModel, workload: Workload, variables: Variables, points: Points) -> Term:
    """Each minute from `ready_from` to the end of a planned job costs."""
    waited: list[Term] = []
    for job in workload.jobs:
        at_least = _left_out_at(workload, job) - job.ready_from
        left_out = at_least * variables.planned[job.id].negated()
        waited.append(variables.end[job.id] - job.ready_from - left_out)
    return points.waiting * sum(waited)


GOALS: Mapping[str, Goal] = {
    "unplaced": unplaced,
    "late": late,
    "promise": promise,
    "extra_stringer": extra_stringer,
    "extra_machine": extra_machine,
    "away": away,
    "over_target": over_target,
    "moved": moved,
    "waiting": waiting,
}


def _left_out_at(workload: Workload, job: Job) -> int:
    """Give the minute at which a job that is left out lies, so that it costs no waiting."""
    return earliest_start(workload, job)


def _lateness(
    model: cp_model.CpModel,
    workload: Workload,
    variables: Variables,
    points: Points,
    prices: Mapping[str, tuple[int | None, int]],
) -> Term:
    terms: list[Term] = []
    for job in workload.jobs:
        wanted, price = prices[job.id]
        if wanted is not None and price:
            minutes = _minutes_late(model, workload, variables, job=job, wanted=wanted, cap=points.late_cap)
            terms.append(price * minutes)
    return sum(terms)


def _minutes_late(
    model: cp_model.CpModel,
    workload: Workload,
    variables: Variables,
    *,
    job: Job,
    wanted: int,
    cap: int | None,
) -> cp_model.IntVar:
    """Give the minutes past `wanted`, at most `cap`; none for a job that is left out.

    Minimising presses the variable down, so it needs a floor only; past the cap the floor is the cap.
    """
    end, planned = variables.end[job.id], variables.planned[job.id]
    if (job.id, wanted) in variables.minutes_late:
        return variables.minutes_late[job.id, wanted]
    worst = max(0, _last_end(workload, job) - wanted)
    key = job.id, wanted
    late = model.new_int_var(0, worst if cap is None else min(worst, cap), f"late {job.id}")
    variables.minutes_late[key] = late
    if cap is None or worst <= cap:
        model.add(late >= end - wanted).only_enforce_if(planned)
        return late
    past_cap = variables.past_cap[key] = model.new_bool_var(f"{job.id} past the cap")
    model.add(late >= end - wanted).only_enforce_if(planned, past_cap.negated())
    model.add(late >= cap).only_enforce_if(planned, past_cap)
    return late


def _last_end(workload: Workload, job: Job) -> int:
    if job.started is not None:
        return job.started.end
    ends = [b for s in workload.stringers if job.allows_stringer(s.id) for _, b in s.windows]
    return min(max(ends, default=earliest_start(workload, job)), horizon(workload))


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
