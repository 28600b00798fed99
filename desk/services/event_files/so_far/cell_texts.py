"""How values stand in the cells of an event's files."""

from __future__ import annotations

from typing import Any


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
