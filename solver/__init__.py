"""Plans the work of a stringing desk: who strings which racquet, where and when."""

from solver.contract.plan import Assignment, Plan
from solver.contract.points import Points
from solver.contract.reading import WorkloadError, read_workload
from solver.contract.workload import Workload
from solver.judge.check import Fault, check_plan
from solver.judge.costs import cost_of
from solver.planning import make_plan
from solver.quote import Quote, Sooner, quote
from solver.speak.explain import Explanation, explain
from solver.speak.remedies import Remedy
from solver.warming import begin_warming, is_warm, warm_up

__all__ = [
    "Assignment",
    "Explanation",
    "Fault",
    "Plan",
    "Points",
    "Quote",
    "Remedy",
    "Sooner",
    "Workload",
    "WorkloadError",
    "begin_warming",
    "check_plan",
    "cost_of",
    "explain",
    "is_warm",
    "make_plan",
    "quote",
    "read_workload",
    "warm_up",
]
