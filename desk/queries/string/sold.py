"""How a string is bought, as the store tells."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from desk.queries.row_making import row_of
from desk.queries.string.store import ReelRow
from desk.trade.racquet.reel_choice import HALF_SET, LOOSE, SET, Left
from desk.trade.racquet.set_count import BY_THE_REEL, REEL_M, Sold


def sold_as(rows: Sequence[ReelRow]) -> Sold:
    """Return how the desk buys a string: by the reel, else by the set, else by the half set.

    Half sets count as bought where they have a price or were received; one that lay there is what was left of a set.
    """
    longest: dict[str, float] = {}
    for row in rows:
        if row.kind != LOOSE:
            longest[row.kind] = max(longest.get(row.kind, 0.0), row.opening_m or row.received_m)
    bought = any(row.kind == HALF_SET and (row.price_minor is not None or row.received_m > 0) for row in rows)
    if longest.get("reel") or not longest:
        return Sold(metres=longest.get("reel", 0.0) or REEL_M)
    if longest.get(SET):
        return Sold(kind=SET, metres=longest[SET])
    half_m = longest.get(HALF_SET, 0.0)
    if not half_m:
        return BY_THE_REEL
    return Sold(kind=HALF_SET, metres=half_m) if bought else Sold(kind=SET, metres=2 * half_m)


def pieces_left(rows: Iterable[ReelRow]) -> tuple[Left, ...]:
    """Return the reels and sets from which string can still be cut."""
    return tuple(row_of(Left, row) for row in rows if row.is_open and row.kind != LOOSE)


def sets_there(rows: Sequence[ReelRow]) -> str:
    """Say how many sets and halves of the desk's are left: "2 sets and 1 half set"."""
    whole, halves = (sum(row.sets == count for row in rows) for count in (1.0, 0.5))
    counted = ((Sold(kind=SET), whole), (Sold(kind=HALF_SET), halves))
    return " and ".join(piece.counted(count) for piece, count in counted if count)
