"""Which reel a racquet is cut from: one rule, used to book string and to look ahead."""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from desk.trade.racquet.bed import HALVES, Half, StringBed

ROUNDING_M = 0.005
"""Metres are kept to the centimetre; half of one is no difference."""

SET, HALF_SET = "set", "half_set"
SETS = (SET, HALF_SET)
LONGEST_SET_M = {SET: 15.0, HALF_SET: 8.0}
"""String as it is sold for one racquet, and a half of it, for the mains or the crosses of one: counted, not metred."""

OFFCUT_M = 4.0
"""What is left of a set below this strings not even one half of a bed and is waste (common practice)."""

BED = "mains and crosses"
"""The part of a shortage where one reel or set must give both."""

LOOSE = "loose"
"""Kind of the reel that stands for string on no reel: it came with the racquet, or no store is kept."""


MISSING_WORDS = "String is missing"
"""How the reason begins for which a job without string is held, at the counter or at a bench."""

MISSING = f"{MISSING_WORDS}: "
"""How it begins where the records say so."""


@dataclass(frozen=True)
class HalfNeed:
    """Metres of one string that a half needs; `own` where the player brings it."""

    string_id: int
    own: bool
    metres: float


@dataclass(frozen=True, kw_only=True)
class Need:
    """String that one racquet needs."""

    player_id: int
    pieces: int
    bed: StringBed[HalfNeed]

    @property
    def total_m(self) -> float:
        return round(sum(half.metres for half in self.bed), 2)

    def owner_of(self, half: Half) -> int | None:
        """The player whose string a half is, None for the desk's."""
        return self.player_id if self.bed[half].own else None


@dataclass(frozen=True, kw_only=True)
class Cut:
    """Metres from one reel for one part; no reel means loose string. `offcut_m` is what a set then wastes."""

    reel_id: int | None
    part: Half
    metres: float
    offcut_m: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Shortage:
    """String that is not there: the part, what it needs, and the most that one reel still has."""

    string_id: int
    part: str
    need_m: float
    longest_m: float
    left_m: float
    own: bool


@dataclass(kw_only=True, eq=False)
class Left:
    """One open reel and what is left on it."""

    reel_id: int
    code: str
    kind: str
    string_id: int
    owner_id: int | None
    left_m: float


@dataclass(kw_only=True)
class Stock:
    """What is left by reel; `take` cuts the string of one racquet from it."""

    reels: dict[int, Left] = field(default_factory=dict)
    kept: bool = True
    _shelves: dict[tuple[int, int | None], list[Left]] = field(default_factory=dict, repr=False)

    def of(self, string_id: int, owner_id: int | None) -> list[Left]:
        """Return the reels of a string and owner, shortest first."""
        if not self._shelves:
            for reel in sorted(self.reels.values(), key=_shortest_first):
                self._shelves.setdefault((reel.string_id, reel.owner_id), []).append(reel)
        return self._shelves.get((string_id, owner_id), [])

    def take(
        self, need: Need, named: Mapping[Half, int] | None = None, *, own_may_be_loose: bool = False
    ) -> list[Cut] | Shortage:
        """Cut a racquet's string: from the reels NAMED by part, else from the shortest that suffices.

        Both parts come from one reel where one is enough; a one-piece bed never comes from two. With
        OWN_MAY_BE_LOOSE a player's own half for which none of their reels suffices came with the racquet.
        """
        named = dict(named or {})
        if need.bed.is_one_string and len(named) == 1:
            named = self._same_reel(named, need)
        parts = ("bed",) if need.bed.is_one_string and self._one_reel(need, named) else HALVES
        planned: list[tuple[Half, int | None]] = []
        held: dict[int, float] = {}
        for part in parts:
            halves = HALVES if part == "bed" else (part,)
            chosen = self._choose(need, part, named, held)
            if isinstance(chosen, Shortage):
                if halves[0] in named or not (own_may_be_loose and chosen.own):
                    return chosen
                chosen = None
            planned += [(half, chosen) for half in halves]
        return self._cut(need, planned)

    def _same_reel(self, named: dict[Half, int], need: Need) -> dict[Half, int]:
        (reel_id,) = named.values()
        if need.pieces == 1 or self.reels[reel_id].left_m + ROUNDING_M >= need.total_m:
            return {"mains": reel_id, "crosses": reel_id}
        return named

    def _one_reel(self, need: Need, named: Mapping[Half, int]) -> bool:
        if named:
            return len(named) == 2 and len(set(named.values())) == 1
        candidates = self._candidates(need, "mains")
        if need.pieces == 2 and _are_halves_enough(need, candidates):
            return False
        is_one_enough = bool(candidates) and candidates[-1].left_m + ROUNDING_M >= need.total_m
        return is_one_enough or need.pieces == 1

    def _candidates(self, need: Need, part: str) -> list[Left]:
        return self.of(need.bed[part].string_id, need.owner_of(part))

    def _choose(
        self, need: Need, part: str, named: Mapping[Half, int], held: dict[int, float]
    ) -> int | Shortage | None:
        first = "mains" if part == "bed" else part
        metres = need.total_m if part == "bed" else need.bed[part].metres
        candidates = [self.reels[named[first]]] if first in named else self._candidates(need, first)
        if first not in named and self._is_loose(need, first, candidates):
            return None
        for reel in candidates:
            if reel.left_m - held.get(reel.reel_id, 0.0) + ROUNDING_M >= metres:
                held[reel.reel_id] = held.get(reel.reel_id, 0.0) + metres
                return reel.reel_id
        left = [round(reel.left_m - held.get(reel.reel_id, 0.0), 2) for reel in candidates]
        return Shortage(
            string_id=need.bed[first].string_id,
            part=BED if part == "bed" else part,
            need_m=metres,
            longest_m=max(left, default=0.0),
            left_m=round(sum(left), 2),
            own=need.bed[first].own,
        )

    def _is_loose(self, need: Need, part: str, candidates: list[Left]) -> bool:
        return not candidates if need.bed[part].own else not self.kept

    def _cut(self, need: Need, planned: Iterable[tuple[Half, int | None]]) -> list[Cut]:
        planned = list(planned)
        cuts = []
        for number, (part, reel_id) in enumerate(planned):
            metres, offcut = need.bed[part].metres, 0.0
            if reel_id is not None:
                reel = self.reels[reel_id]
                reel.left_m = round(reel.left_m - metres, 2)
                is_last = all(other != reel_id for _, other in planned[number + 1 :])
                if reel.kind in SETS and is_last and ROUNDING_M < reel.left_m < OFFCUT_M:
                    offcut, reel.left_m = reel.left_m, 0.0
                shelf = self.of(reel.string_id, reel.owner_id)
                shelf.remove(reel)
                insort(shelf, reel, key=_shortest_first)
            cuts.append(Cut(reel_id=reel_id, part=part, metres=metres, offcut_m=offcut))
        return cuts


def _shortest_first(reel: Left) -> tuple[float, str]:
    return reel.left_m, reel.code


def _are_halves_enough(need: Need, candidates: Iterable[Left]) -> bool:
    """Whether halves of sets that are left over string the bed, so that no whole one is opened (common practice)."""
    halves = [one.left_m + ROUNDING_M for one in candidates if one.kind in SETS and one.left_m < need.total_m]
    for metres in sorted((half.metres for half in need.bed), reverse=True):
        fitting = [left for left in halves if left >= metres]
        if not fitting:
            return False
        halves.remove(min(fitting))
    return True
