"""Shorthand for columns that show one field of a row."""

from collections.abc import Callable, Iterator
from operator import attrgetter
from typing import Any

from exports.sheet import Column, Kind

AFTER = "after the last day"


def col(key: str, heading: str, kind: Kind | Callable[[Any], Kind] = "text", **how: Any) -> Column:
    """Return a column that shows the field named by the key, unless `of` says what else."""
    return Column(key=key, heading=heading, kind=kind, **{"of": attrgetter(key)} | how)


def cols(kind: Kind, /, *, total: bool = False, printed: bool = True, **headings: str) -> Iterator[Column]:
    """Yield columns of one kind beside each other, by their keys."""
    return (col(key, heading, kind, total=total, printed=printed) for key, heading in headings.items())


def the_day() -> Column:
    """Return the column with the day of a row, in words for what came after the last day."""
    return col("day", "Day", "date", of=lambda row: row.day or AFTER)


def spoken(key: str, heading: str) -> Column:
    """Return a column with a tension as spoken."""
    return col(key, heading, of=_of_tension(key, "spoken"))


def in_units(key: str, heading: str, *, printed: bool = True) -> Iterator[Column]:
    """Yield the columns with a tension in lb and in kg."""
    for unit in ("lb", "kg"):
        of = _of_tension(key, unit)
        yield col(f"{key}_{unit}", f"{heading}, {unit}", "tension", of=of, printed=printed)


def _of_tension(key: str, said: str) -> Callable[[Any], Any]:
    return lambda row: getattr(tension, said) if (tension := getattr(row, key)) else None


def racquet_number(row: Any) -> int | str:
    """The player's number of a racquet, a number in every file; a name where it has one."""
    return int(row.racquet) if row.racquet.isdecimal() else row.racquet


def share(key: str, heading: str, part: str, whole: str) -> Column:
    """Return a column with one count as per cent of another."""
    return col(key, heading, "pct", of=lambda row: per_cent(getattr(row, part), getattr(row, whole)))


def per_cent(part: float, whole: float) -> float | None:
    """The part in per cent of the whole; None of nothing."""
    return 100 * part / whole if whole else None
