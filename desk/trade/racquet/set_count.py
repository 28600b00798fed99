"""How many sets to order: string that is sold in sets is counted by the halves of beds, not by the metre.

A half that is left over stays in the store as a half, strings only what it is long enough for, and goes before a whole
set is opened (common practice).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil

from desk.trade.racquet.bed import StringBed
from desk.trade.racquet.reel_choice import HALF_SET, ROUNDING_M, SETS, HalfNeed, Left, Need, Shortage, Stock

REEL_M = 200.0
"""Length of a reel as sold, where none of the string was ever in the store (common practice)."""

MOST_FOR_A_BED = 2


@dataclass(frozen=True, kw_only=True)
class Sold:
    """How a string is bought: `kind` is reel, set or half_set, of so many metres."""

    kind: str = "reel"
    metres: float = REEL_M

    @property
    def word(self) -> str:
        return self.kind.replace("_", " ")

    def counted(self, count: int) -> str:
        """So many of it in words: "3 sets", "1 half set"."""
        return f"{count} {self.word}{'' if count == 1 else 's'}"


BY_THE_REEL = Sold()
"""Where the store knows nothing of a string."""


@dataclass(frozen=True, kw_only=True)
class Later:
    """Halves of beds that are expected, with the metres that all of them take."""

    halves: float = 0.0
    metres: float = 0.0

    @property
    def half_m(self) -> float:
        return self.metres / self.halves if self.halves else 0.0


def to_order(sold: Sold, left: Iterable[Left], later: Later, beds: Sequence[Need] = ()) -> int:
    """Return how many reels, sets or half sets are missing for BEDS, one after the other, and for what comes LATER.

    LEFT is what the desk has of this one string, BEDS are what it strings with it (`of_string`).
    """
    there = [replace(one) for one in left]
    if sold.kind not in SETS:
        metres = later.metres + sum(half.metres for need in beds for half in need.bed)
        return pieces_for(sold, Later(metres=metres - sum(one.left_m for one in there)))
    bought: list[Left] = []
    for need in beds:
        _string(need, there, bought, sold)
    stock = [*there, *bought]
    missing = later.halves - sum(_halves_in(one.kind, one.left_m, later.half_m) for one in stock)
    return len(bought) + pieces_for(sold, Later(halves=missing, metres=missing * later.half_m))


def pieces_for(sold: Sold, wanted: Later) -> int:
    """Return how many reels, sets or half sets give what is wanted: by the metre, or by the halves of beds."""
    in_pieces = wanted.metres / sold.metres
    if sold.kind in SETS:
        in_pieces = wanted.halves / max(1, _halves_in(sold.kind, sold.metres, wanted.half_m))
    return ceil(round(max(0.0, in_pieces), 6))


def of_string(need: Need, string_id: int) -> Need:
    """Return what a racquet takes of one string of the desk; its other half counts as brought along."""
    halves = (
        half if half.string_id == string_id and not half.own else HalfNeed(string_id, own=True, metres=0.0)
        for half in need.bed
    )
    return replace(need, bed=StringBed(*halves))


def _string(need: Need, there: Sequence[Left], bought: list[Left], sold: Sold) -> None:
    """Cut one bed; what is missing for it is bought piece by piece."""
    for missing in range(MOST_FOR_A_BED + 1):
        stock = Stock(reels={one.reel_id: one for one in (*there, *bought)})
        if not isinstance(stock.take(need, own_may_be_loose=True), Shortage) or missing == MOST_FOR_A_BED:
            return
        bought.append(_new(sold, need.bed.mains.string_id, len(bought) + 1))


def _new(sold: Sold, string_id: int, number: int) -> Left:
    piece = {"kind": sold.kind, "string_id": string_id, "left_m": sold.metres}
    return Left(reel_id=-number, code=f"new {number:04}", owner_id=None, **piece)


def _halves_in(kind: str, metres: float, half_m: float) -> int:
    """How many halves of HALF_M metres a set or a half set gives."""
    most = 1 if kind == HALF_SET else 2
    return most if half_m <= 0 else min(most, int((metres + ROUNDING_M) // half_m))
