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
    cause : str
        Where the fault stands that this one repeats; it is told in the line of that one.
    """

    where: str
    found: str
    expected: str
    cause: str = ""

    def __str__(self) -> str:
        return f"{self.where}: found {self.found}; expected {self.expected}"


_EXAMPLES = 3
_ROW = re.compile(r"(.+) row (\d+)(, column .+)?")
_MEANT = re.compile(r"(.+) \(did you mean (.+)\?\)")


def gathered(faults: Sequence[InputFault]) -> list[InputFault]:
    """Return the faults with those of one column that ask for the same, and what repeats them, as one line."""
    keys = {fault.where: _asked(fault) for fault in faults}
    alike: dict[object, list[InputFault]] = {}
    for fault in faults:
        alike.setdefault(keys.get(fault.cause) or _asked(fault), []).append(fault)
    return [_one_for_all(group) for group in alike.values()]


def count_of(faults: Sequence[InputFault]) -> str:
    """Say how many faults there are, and in how many places where these are more."""
    count = len(gathered(faults))
    return f"{count} fault{'s' * (count > 1)}" + (f", in {len(faults)} places" if len(faults) > count else "")


def _asked(fault: InputFault) -> object:
    read, meant = _ROW.fullmatch(fault.where), _MEANT.fullmatch(fault.expected)
    return (read[1], read[3], meant[1] if meant else fault.expected, bool(meant)) if read else fault


def _one_for_all(group: Sequence[InputFault]) -> InputFault:
    if len(group) == 1:
        return group[0]
    rows: dict[tuple[str, str], set[int]] = {}
    for fault in group:
        if read := _ROW.fullmatch(fault.where):
            rows.setdefault((read[1], read[3] or ""), set()).add(int(read[2]))
    places = [f"{file} row{'s' * (len(of) > 1)} {_spans(sorted(of))}{column}" for (file, column), of in rows.items()]
    return InputFault(
        where="; ".join([places[0], *(place[place.find("sheet ") * (" sheet " in place) :] for place in places[1:])]),
        found=_first_of([fault.found for fault in group]),
        expected=_meant_by_all(group),
    )


def _meant_by_all(group: Sequence[InputFault]) -> str:
    meant = [read for fault in group if (read := _MEANT.fullmatch(fault.expected))]
    return f"{meant[0][1]} (did you mean {_first_of([read[2] for read in meant])}?)" if meant else group[0].expected


def _first_of(texts: Sequence[str]) -> str:
    values = list(dict.fromkeys(texts))
    left = len(values) - _EXAMPLES
    return ", ".join(values[:_EXAMPLES]) + (f" and {left} other{'s' * (left > 1)}" if left > 0 else "")


def _spans(rows: Sequence[int]) -> str:
    """Say which rows: "2, 5 and 7 to 40"; after six spans only how many more."""
    spans: list[list[int]] = []
    for row in rows:
        if spans and row == spans[-1][1] + 1:
            spans[-1][1] = row
        else:
            spans.append([row, row])
    if len(rows) == 2:
        spans = [[row, row] for row in rows]
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
