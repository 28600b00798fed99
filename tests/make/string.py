"""Strings, reels, what is cut from them, and prices."""

from collections.abc import Sequence
from typing import Any

from sqlalchemy.orm import Session

from desk.models import Event, Price, Reel, ReelEntry, StringType
from desk.trade.racquet.bed import Bed, HalfUse
from tests.make.adding import add, next_number
from tests.make.event import moment


def make_string(session: Session, event: Event, **over: Any) -> StringType:
    values = {
        "code": f"STR{next_number(session, StringType)}",
        "name": "String A",
        "gauge_mm": 1.25,
        "material": "polyester",
    } | over
    return add(session, StringType(event_id=event.id, **values))


def make_reel(session: Session, string: StringType, *, metres: float = 200.0, **over: Any) -> Reel:
    """Return a reel of the desk with that many metres on it from the beginning."""
    reel = Reel(
        **({"event_id": string.event_id, "code": f"R{next_number(session, Reel)}", "string_type_id": string.id} | over)
    )
    reel.entries.append(ReelEntry(at=moment("Mon 07:00"), by="desk", kind="opening", metres=metres))
    return add(session, reel)


def cut(mains_m: float | None = None, crosses_m: float | None = None, *, reels: Sequence[int | None] = (None, None)):
    """Return what a bench says of the string it cut: metres measured and REELS of mains and crosses."""
    return Bed(HalfUse(reels[0], mains_m), HalfUse(reels[1], crosses_m))


def make_price(session: Session, event: Event, kind: str, amount_minor: int, **over: Any) -> Price:
    return add(session, Price(event_id=event.id, kind=kind, amount_minor=amount_minor, **over))
