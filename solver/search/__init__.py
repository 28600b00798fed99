"""A compiled local search that finds good plans fast."""

from solver.search.improve import Found, improve

__all__ = ["Found", "improve"]
