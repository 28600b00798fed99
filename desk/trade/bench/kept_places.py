"""The place that a hand gave a racquet in a bench's order, and which racquets come after which by that."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any


@dataclass(frozen=True, kw_only=True)
class KeptPlace:
    """Which racquets of the bench stood ahead and behind when the place was given, by their numbers in the event.

    What is `is_next` has what comes later behind it as well, but not what comes from the court.
    """

    ahead: tuple[int, ...] = ()
    behind: tuple[int, ...] = ()
    is_next: bool = False

    @classmethod
    def of(cls, kept: Mapping[str, Any] | None) -> KeptPlace | None:
        """Return the place as the records keep it."""
        if kept is None:
            return None
        return cls(ahead=tuple(kept["ahead"]), behind=tuple(kept["behind"]), is_next=kept["is_next"])

    def to_keep(self) -> dict[str, Any]:
        return {name: list(value) if isinstance(value, tuple) else value for name, value in asdict(self).items()}


def plan_name(serial: int) -> str:
    """Return a racquet's name in workload and plan files: J0031."""
    return f"J{serial:04d}"


@dataclass(frozen=True, kw_only=True)
class Waiting:
    """A racquet that waits, by its number in the event; `stringer_id` is whom a hand gave it to."""

    serial: int
    stringer_id: int | None = None
    on_court: bool = False
    place: KeptPlace | None = None


def place_in(order: Sequence[int], after: int | None) -> KeptPlace:
    """Return the place right after a racquet of a bench's order, or before all of it."""
    at = 0 if after is None else order.index(after) + 1
    return KeptPlace(ahead=tuple(order[:at]), behind=tuple(order[at:]), is_next=at == 0)


def with_place(
    waiting: Iterable[Waiting], serial: int, *, stringer_id: int | None, place: KeptPlace | None
) -> list[Waiting]:
    """Return the racquets once one of them was moved: its new place counts, and in no older one does it figure."""
    found = []
    for one in waiting:
        if one.serial == serial:
            found.append(replace(one, stringer_id=stringer_id, place=place))
        else:
            found.append(one if one.place is None else replace(one, place=_beside(one, one.place, serial, place)))
    return found


def _beside(one: Waiting, its: KeptPlace, serial: int, moved: KeptPlace | None) -> KeptPlace:
    ahead = tuple(other for other in its.ahead if other != serial)
    behind = tuple(other for other in its.behind if other != serial)
    if moved is not None and one.serial in moved.behind:
        return KeptPlace(ahead=(*ahead, serial), behind=behind)
    if moved is not None and one.serial in moved.ahead:
        behind = (*behind, serial)
    return replace(its, ahead=ahead, behind=behind)


def turns(waiting: Sequence[Waiting]) -> dict[int, set[int]]:
    """Return for each racquet those that come before it at one bench; never round in a circle."""
    after: dict[int, set[int]] = {one.serial: set() for one in waiting}
    kept = [(one, one.place) for one in waiting if one.place is not None and one.stringer_id is not None]
    for one, place in kept:
        pairs = [*((other, one.serial) for other in place.ahead), *((one.serial, other) for other in place.behind)]
        for first, second in pairs:
            if first in after and second in after and second not in _all_before(after, first):
                after[second].add(first)
    for one, place in kept:
        before = _all_before(after, one.serial) if place.is_next else set(after)
        for other in waiting:
            may_meet = other.stringer_id in (None, one.stringer_id) and not other.on_court
            if may_meet and other.serial not in before:
                after[other.serial].add(one.serial)
    return after


def _all_before(after: Mapping[int, set[int]], serial: int) -> set[int]:
    """Return a racquet with all that come before it, from one to the next."""
    found, to_see = {serial}, [serial]
    while to_see:
        fresh = after[to_see.pop()] - found
        found |= fresh
        to_see += fresh
    return found
