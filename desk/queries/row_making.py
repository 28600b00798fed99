"""Rows made of records: by the names that both have, grouped, and kept with the session."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import fields
from typing import Any, TypeVar

from sqlalchemy.orm import Session

K = TypeVar("K")
V = TypeVar("V")
Row = TypeVar("Row")


def row_of(kind: type[Row], /, *records: object, **rest: Any) -> Row:
    """Return a row of this dataclass: REST, and the other fields by their names from the first record that has them."""

    def value(name: str) -> Any:
        return getattr(next((one for one in records[:-1] if hasattr(one, name)), records[-1]), name)

    return kind(**{one.name: value(one.name) for one in fields(kind) if one.name not in rest}, **rest)  # type: ignore[arg-type]


def grouped(pairs: Iterable[tuple[K, V]]) -> dict[K, list[V]]:
    """Return the second of each pair in a list by the first, both in their order; empty for any other."""
    found: dict[K, list[V]] = defaultdict(list)
    for key, value in pairs:
        found[key].append(value)
    return found


def kept(session: Session, key: tuple[str, int], state: object, read: Callable[[], V]) -> V:
    """Return what was read in this session under KEY while STATE was the same, else read it."""
    held = session.info.get(key)
    if held is None or held[0] != state:
        held = session.info[key] = (state, read())
    found: V = held[1]
    return found
