"""Refusing a form with a sentence for each field that is wrong."""

from __future__ import annotations

from desk.errors import BadInput


def refuse(faults: dict[str, str], what: str) -> None:
    """Raise when there are faults by field; WHAT is the sentence before them, without a full stop."""
    if faults:
        said = "; ".join(f"{field.replace('_', ' ')}: {text}" for field, text in faults.items())
        raise BadInput(f"{what}: {said}.", fields=faults)
