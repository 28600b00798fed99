"""Plans the work of a stringing desk: who strings which racquet, where and when.

OR-Tools and numba are loaded when somebody first plans, so that reading and checking cost nothing else.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from solver.contract.plan import Assignment, Plan
from solver.contract.points import Points
from solver.contract.reading import WorkloadError, read_workload
from solver.contract.workload import Workload
from solver.judge.check import Fault, check_plan
from solver.judge.costs import cost_of
from solver.queues import Sooner
from solver.quote import Quote, quote
from solver.warming import begin_warming, is_warm, warm_up

if TYPE_CHECKING:
    from solver.planning import make_plan
    from solver.speak.explain import Explanation, explain, explain_as_tried
    from solver.speak.remedies import Remedy

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
    "explain_as_tried",
    "is_warm",
    "make_plan",
    "quote",
    "read_workload",
    "warm_up",
]

_LATER = {
    "make_plan": "solver.planning",
    "Explanation": "solver.speak.explain",
    "explain": "solver.speak.explain",
    "explain_as_tried": "solver.speak.explain",
    "Remedy": "solver.speak.remedies",
}


def __getattr__(name: str) -> Any:
    if name not in _LATER:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_LATER[name]), name)
