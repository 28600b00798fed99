"""A compiled local search that finds good plans fast."""

from solver.search.improve import Found, improve
from solver.search.warming import is_warm, warm_up

__all__ = ["Found", "improve", "is_warm", "warm_up"]
