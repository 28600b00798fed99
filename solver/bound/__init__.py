"""A proved lower bound on the total of any plan of a workload."""

from solver.bound.ascent import Ascent, lower_bound

__all__ = ["Ascent", "lower_bound"]
