"""Whose players: each player's own stringer before the first drop-off, fair by day and by hour."""

from solver.allotment.allot import allot, in_turn
from solver.allotment.allotment_problem import (
    Allotment,
    AllotmentPoints,
    AllotmentProblem,
    Hand,
    Slot,
    Wanted,
)
from solver.allotment.consequence import points_of

__all__ = [
    "Allotment",
    "AllotmentPoints",
    "AllotmentProblem",
    "Hand",
    "Slot",
    "Wanted",
    "allot",
    "in_turn",
    "points_of",
]
