"""The errors that a user can mend: each says what, where and what to do."""

from __future__ import annotations

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
    """The records cannot take a write at the moment; nothing was stored, and the same may be tried again."""

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
