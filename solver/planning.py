"""`make_plan`: the best plan that the time allows, with a proved bound."""

from solver.contract.plan import Plan
from solver.contract.points import Points
from solver.contract.workload import Workload, priced
from solver.course import Options, Progress
from solver.effort import Planning


def make_plan(
    workload: Workload,
    *,
    seconds: float,
    seed: int = 0,
    workers: int | None = None,
    previous: Plan | None = None,
    points: Points | None = None,
    progress: Progress | None = None,
    steps: int | None = None,
    bound: bool = True,
    gaps: bool = True,
) -> Plan:
    """Plan a workload.

    Parameters
    ----------
    workload : Workload
        What waits, who and what can string it.
    seconds : float
        Time to take, within a tenth in a warm process (`warm_up`); a plan that is proved best comes sooner.
    seed : int
        Where random choices begin.
    workers : int, optional
        Threads; 2 where not given.
    previous : Plan, optional
        The plan of an earlier state of the workload: what of it still keeps every rule is the start.
    points : Points, optional
        What each shortcoming costs; by default the prices that come with the workload.
    progress : callable, optional
        Told now and then how far the planning is; True ends it.
    steps : int, optional
        Moves of the search: with one worker, a seed and seconds enough, the same plan each time.
    bound : bool
        Whether to take time for a better bound than that of every job by itself; below a second there is none.
    gaps : bool
        Whether a plan that is soon replaced (under 2 s) leaves minutes free for what may still come (`solver.gaps`).

    Returns
    -------
    Plan
        Keeps every rule.  A job that cannot be planned, or costs more than it is worth, is unplaced.
    """
    options = Options(
        seconds=seconds, seed=seed, workers=workers or 2, steps=steps, progress=progress, bound=bound, gaps=gaps
    )
    run = Planning(priced(workload, points or workload.points), options)
    run.start(previous)
    run.improve()
    return run.plan()
