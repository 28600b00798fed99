"""Shorthand for columns that show one field of a row."""

from collections.abc import Callable
from operator import attrgetter
from typing import Any

from exports.sheet import Column, Kind

AFTER = "after the last day"


def col(
    key: str,
    heading: str,
    kind: Kind | Callable[[Any], Kind] = "text",
    *,
    of: Callable[[Any], Any] | None = None,
    printed: bool = True,
    filed: bool = True,
    total: bool = False,
    strong: bool = False,
    alert: Callable[[Any], bool] | None = None,
) -> Column:
    """Return a column that shows the field named by the key, unless `of` says what else."""
    return Column(
        key=key,
        heading=heading,
        kind=kind,
        of=of or attrgetter(key),
        printed=printed,
        filed=filed,
        total=total,
        strong=strong,
        alert=alert,
    )


def the_day() -> Column:
    """Return the column with the day of a row, in words for what came after the last day."""
    return col("day", "Day", "date", of=lambda row: row.day or AFTER)


def spoken(key: str, heading: str) -> Column:
    """Return a column with a tension as spoken."""
    return col(key, heading, of=lambda row: t.spoken if (t := getattr(row, key)) else None)


def in_unit(key: str, heading: str, unit: str, *, printed: bool = True) -> Column:
    """Return a column with a tension in lb or in kg."""
    return col(
        f"{key}_{unit}",
        f"{heading}, {unit}",
        "tension",
        of=lambda row: getattr(t, unit) if (t := getattr(row, key)) else None,
        printed=printed,
    )


def racquet_number(row: Any) -> int | str:
    """The player's number of a racquet, a number in every file; a name where it has one."""
    return int(row.racquet) if row.racquet.isdecimal() else row.racquet


def share(key: str, heading: str, part: str, whole: str) -> Column:
    """Return a column with one count as per cent of another."""
    return col(key, heading, "pct", of=lambda row: per_cent(getattr(row, part), getattr(row, whole)))


def per_cent(part: float, whole: float) -> float | None:
    """The part in per cent of the whole; None of nothing."""
    return 100 * part / whole if whole else None
