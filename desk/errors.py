"""The errors that a user can mend: each says what, where and what to do."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass


class DeskError(Exception):
    """Something that a user of the desk can mend; its text is shown as it is."""

    status = 400


class NotFound(DeskError):
    """The thing named is not there (any more)."""

    status = 404


class Conflict(DeskError):
    """The request is sound, but what stands in the records forbids it now."""

    status = 409


class Busy(DeskError):
    """The records cannot be read or written as they are; nothing was stored, and the same may be tried again."""

    status = 503


class NotAllowed(DeskError):
    """The person signed in may not do this."""

    status = 403


@dataclass(frozen=True, kw_only=True)
class InputFault:
    """One fault of an input file or form.

    Attributes
    ----------
    where : str
        File, row and column, such as ``dropoffs.csv row 7, column mains_tension``.
    found, expected : str
        What stands there, and what should.
    """

    where: str
    found: str
    expected: str

    def __str__(self) -> str:
        return f"{self.where}: found {self.found}; expected {self.expected}"


LIKE_FAULTS = 3
"""So many faults of one column that ask for the same become one line."""
_EXAMPLES = 3
_ROW = re.compile(r"(.+) row (\d+)(, column .+)?")


def gathered(faults: Sequence[InputFault]) -> list[InputFault]:
    """Return the faults with those of one column that ask for the same as one line, where the first stood."""
    alike: dict[object, list[InputFault]] = {}
    for fault in faults:
        read = _ROW.fullmatch(fault.where)
        alike.setdefault((read[1], read[3], fault.expected) if read else fault, []).append(fault)
    found: list[InputFault] = []
    for group in alike.values():
        found.extend(group if len(group) < LIKE_FAULTS else [_one_for_all(group)])
    return found


def _one_for_all(group: Sequence[InputFault]) -> InputFault:
    read = [_ROW.fullmatch(fault.where) for fault in group]
    file, column = read[0][1], read[0][3] or ""
    values = list(dict.fromkeys(fault.found for fault in group))
    left = len(values) - _EXAMPLES
    more = f" and {left} other{'s' if left > 1 else ''}" if left > 0 else ""
    return InputFault(
        where=f"{file} rows {_spans(sorted({int(one[2]) for one in read}))}{column}",
        found=", ".join(values[:_EXAMPLES]) + more,
        expected=group[0].expected,
    )


def _spans(rows: Sequence[int]) -> str:
    """Say which rows: "2, 5 and 7 to 40"; after six spans only how many more."""
    spans: list[list[int]] = []
    for row in rows:
        if spans and row == spans[-1][1] + 1:
            spans[-1][1] = row
        else:
            spans.append([row, row])
    shown = [f"{a}" if a == b else f"{a} to {b}" for a, b in spans[:6]]
    left = sum(b - a + 1 for a, b in spans[6:])
    *first, last = [*shown, f"{left} more"] if left else shown
    return f"{', '.join(first)} and {last}" if first else last


class BadInput(DeskError):
    """What was given cannot be used; nothing of it was stored.

    Attributes
    ----------
    faults : tuple of InputFault
        Every fault that was found, in the order of the input.
    fields : dict
        For a form: a sentence for each field by name.
    """

    status = 422

    def __init__(
        self, message: str, *, faults: Sequence[InputFault] = (), fields: dict[str, str] | None = None
    ) -> None:
        super().__init__(message)
        self.faults = tuple(faults)
        self.fields = dict(fields or {})
