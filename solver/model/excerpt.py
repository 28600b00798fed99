"""A part of a workload as a workload of its own: what is fixed becomes hours taken and history."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import replace

from solver.contract.calendar import Calendar, started_assignments
from solver.contract.plan import Assignment
from solver.contract.workload import History, Workload


def part_of(workload: Workload, jobs: Collection[str], fixed: Iterable[Assignment] = ()) -> Workload:
    """Give the workload of planning only `jobs` around what is started and what is `fixed`.

    Its plans keep every rule together with the fixed ones, and the costs of both add up: a stringer
    or machine that has a player's fixed racquet is known to that player, as if from before.

    Parameters
    ----------
    workload : Workload
        The whole.
    jobs : collection of str
        Ids of jobs, none of them started or fixed, and none `in_turn`: a turn is kept with all jobs in sight.
    fixed : iterable of Assignment
        Assignments that stand, the started ones excepted (they stand anyway).

    Returns
    -------
    Workload
        With hours cut by what is fixed, so that windows may be short or none.
    """
    calendar = Calendar(workload, fixed := list(fixed))
    return replace(
        workload,
        stringers=tuple(replace(s, windows=tuple(calendar.stringers[s.id].spans)) for s in workload.stringers),
        machines=tuple(replace(m, windows=tuple(calendar.machines[m.id].spans)) for m in workload.machines),
        jobs=tuple(j for j in workload.jobs if j.id in jobs),
        history=known_with(workload, [*started_assignments(workload), *fixed]),
    )


def known_with(workload: Workload, fixed: Iterable[Assignment]) -> dict[str, History]:
    """Give the history of every player with what is fixed added to it."""
    stringers: dict[str, set[str]] = defaultdict(set)
    machines: dict[str, set[str]] = defaultdict(set)
    for player, past in workload.history.items():
        stringers[player] |= set(past.stringers)
        machines[player] |= set(past.machines)
    for a in fixed:
        player = workload.job_by_id[a.job].player
        stringers[player].add(a.stringer)
        machines[player].add(a.machine)
    return {
        player: History(stringers=tuple(sorted(stringers[player])), machines=tuple(sorted(machines[player])))
        for player in sorted(stringers | machines)
    }
