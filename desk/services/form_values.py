"""What services do with a form: refuse it with a sentence for each fault, and keep its values in a row."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import fields
from itertools import count, pairwise
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Base, Event
from desk.queries.spans import Span
from desk.trade.event.names import search_name


def refuse(faults: dict[str, str], what: str) -> None:
    """Raise when there are faults by field; WHAT is the sentence before them, without a full stop."""
    if faults:
        said = "; ".join(f"{field.replace('_', ' ')}: {text}" for field, text in faults.items())
        raise BadInput(f"{what}: {said}.", fields=faults)


def values_of(form: Any, *but: str) -> dict[str, Any]:
    """Return the values of a form by name, texts without the blanks around them; those named in BUT left out."""
    values = {one.name: getattr(form, one.name) for one in fields(form) if one.name not in but}
    return {name: value.strip() if isinstance(value, str) else value for name, value in values.items()}


def name_of_person(name: str) -> dict[str, str]:
    """Return a person's name as it is kept, and as it is searched."""
    return {"name": " ".join(name.split()), "search_name": search_name(name)}


def change(row: Base, values: Mapping[str, Any]) -> None:
    """Set the values of a row by name."""
    for name, value in values.items():
        setattr(row, name, value)


def codes_of(session: Session, event: Event, table: Any) -> set[str]:
    """Return the codes that the event's rows of TABLE have."""
    return set(session.scalars(select(table.code).where(table.event_id == event.id)))


def chosen_code(wanted: str, taken: Collection[str], start: str, what: str, *, digits: int = 1, first: int = 1) -> str:
    """Return the code that was typed, else START with the next free number; one that is taken is refused."""
    code = wanted.strip() or next(code for n in count(first) if (code := f"{start}{n:0{digits}}") not in taken)
    if code in taken:
        raise BadInput(f"There is a {what} {code} already; take another code.", fields={"code": "is taken"})
    return code


def next_position(session: Session, event: Event, table: Any) -> int:
    """Return the place behind all of the event's rows of TABLE."""
    return (session.scalar(select(func.max(table.position)).where(table.event_id == event.id)) or 0) + 1


def require_hours(spans: Sequence[Span], *, field: str, what: str) -> None:
    """Refuse hours that do not end after they begin, or that overlap; WHAT they are stands before "must"."""
    ordered = sorted(spans)
    if any(to_at <= from_at for from_at, to_at in ordered):
        raise BadInput(f"{what} must end after they begin.", fields={field: "end after they begin"})
    if any(after[0] < before[1] for before, after in pairwise(ordered)):
        raise BadInput(f"{what} must not overlap.", fields={field: "begin each after the one before has ended"})
