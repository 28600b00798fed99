"""Plans the work of a stringing desk: who strings which racquet, where and when."""

from solver.check import Fault, check_plan
from solver.costs import cost_of
from solver.plan import Assignment, Plan
from solver.planning import make_plan
from solver.points import Points
from solver.reading import WorkloadError, read_workload
from solver.workload import Workload

__all__ = [
    "Assignment",
    "Fault",
    "Plan",
    "Points",
    "Workload",
    "WorkloadError",
    "check_plan",
    "cost_of",
    "make_plan",
    "read_workload",
]
