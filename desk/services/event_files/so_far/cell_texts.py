"""How values stand in the cells of an event's files."""

from __future__ import annotations

from typing import Any

from desk.models import Base, Match
from desk.trade.event.money import Money, per_cent_of


def number_cell(value: float | None) -> str:
    """A number in as few digits as say it; nothing where there is none."""
    return "" if value is None else f"{value:.12g}"


def with_unit(value: Any, unit: str | None) -> str:
    """A value with its unit."""
    if value is None:
        return ""
    return f"{number_cell(value) if isinstance(value, float) else value} {unit}"


def yes_no_cell(value: bool) -> str:
    """Yes or no."""
    return "yes" if value else "no"


def amount_cell(minor: int | None, currency: str) -> str:
    """An amount in the currency itself; nothing where there is none."""
    return "" if minor is None else f"{Money(minor, currency).major:f}"


def same(record: Base, *names: str) -> dict[str, Any]:
    """The columns that are written under their own names."""
    return {name: getattr(record, name) for name in names}


def tax_cell(basis_points: int | None) -> str:
    """A price's own tax in per cent; nothing where it has the event's."""
    return "" if basis_points is None else f"{per_cent_of(basis_points):f}"


def side_cell(match: Match, number: int, codes: dict[str, dict[int, str]]) -> str:
    """A side of a match: its players by their codes, or the match whose winner it is."""
    sides = [side for side in match.sides if side.side == number]
    waits = [codes["match"][side.winner_of_id] for side in sides if side.winner_of_id in codes["match"]]
    if waits:
        return f"winner of {waits[0]}"
    return " / ".join(codes["player"][side.player_id] for side in sides if side.player_id in codes["player"])
