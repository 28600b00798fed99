"""A proved lower bound on the total of any plan of a workload."""

from solver.bound.ascent import Ascent, lower_bound
from solver.contract.points import Points
from solver.contract.workload import Job, Machine, Stringer, Workload

__all__ = ["Ascent", "lower_bound", "warm_up"]


def warm_up() -> None:
    """Compile the bound, or load it from numba's cache on disk."""
    jobs = (Job(id="1", player="1", minutes=1), Job(id="2", player="1", minutes=1))
    windows = ((0, 2),)
    workload = Workload(stringers=(Stringer(id="1", windows=windows),), machines=(Machine(id="1"),), jobs=jobs)
    lower_bound(workload, Points(), target=1 << 40, rounds=2)
