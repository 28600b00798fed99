"""Which reel a racquet is cut from: one rule, used to book string and to look ahead."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Reel, ReelEntry
from desk.queries.string.store import ROUNDING_M

OFFCUT_M = 4.0
"""What is left of a set below this strings not even one half of a bed and is waste (common practice)."""

MISSING_WORDS = "String is missing"
"""How the reason begins for which a job without string is held, at the counter or at a bench."""

MISSING = f"{MISSING_WORDS}: "
"""How it begins where the records say so."""

LOOSE = "loose"
"""Kind of the reel that stands for string on no reel: it came with the racquet, or no store is kept."""


@dataclass(frozen=True, kw_only=True)
class Need:
    """String that one racquet needs, in metres; each half is the desk's or the player's own."""

    player_id: int
    own_mains: bool
    own_crosses: bool
    pieces: int
    mains_string_id: int
    crosses_string_id: int
    mains_m: float
    crosses_m: float

    @property
    def total_m(self) -> float:
        return round(self.mains_m + self.crosses_m, 2)

    @property
    def is_one_string(self) -> bool:
        """Whether both halves may be cut from one reel: the same string of the same owner."""
        return self.mains_string_id == self.crosses_string_id and self.own_mains == self.own_crosses

    def is_own(self, part: str) -> bool:
        return self.own_mains if part == "mains" else self.own_crosses

    def owner_of(self, part: str) -> int | None:
        """The player whose string a half is, None for the desk's."""
        return self.player_id if self.is_own(part) else None

    def string_of(self, part: str) -> int:
        return self.mains_string_id if part == "mains" else self.crosses_string_id

    def metres_of(self, part: str) -> float:
        return self.mains_m if part == "mains" else self.crosses_m


@dataclass(frozen=True, kw_only=True)
class Cut:
    """Metres from one reel for one part; no reel means loose string. `offcut_m` is what a set then wastes."""

    reel_id: int | None
    part: str
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


@dataclass(kw_only=True)
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
            for reel in self.reels.values():
                self._shelves.setdefault((reel.string_id, reel.owner_id), []).append(reel)
        return sorted(self._shelves.get((string_id, owner_id), ()), key=lambda reel: (reel.left_m, reel.code))

    def take(
        self, need: Need, named: Mapping[str, int] | None = None, *, own_may_be_loose: bool = False
    ) -> list[Cut] | Shortage:
        """Cut a racquet's string: from the reels NAMED by part, else from the shortest that suffices.

        Both parts come from one reel where one is enough; a one-piece bed never comes from two. With
        OWN_MAY_BE_LOOSE a player's own half for which none of their reels suffices came with the racquet.
        """
        named = dict(named or {})
        if need.is_one_string and len(named) == 1:
            named = self._same_reel(named, need)
        parts = ("bed",) if need.is_one_string and self._one_reel(need, named) else ("mains", "crosses")
        planned: list[tuple[str, int | None]] = []
        held: dict[int, float] = {}
        for part in parts:
            halves = ("mains", "crosses") if part == "bed" else (part,)
            chosen = self._choose(need, part, named, held)
            if isinstance(chosen, Shortage):
                if halves[0] in named or not (own_may_be_loose and chosen.own):
                    return chosen
                chosen = None
            planned += [(half, chosen) for half in halves]
        return self._cut(need, planned)

    def _same_reel(self, named: dict[str, int], need: Need) -> dict[str, int]:
        (reel_id,) = named.values()
        if need.pieces == 1 or self.reels[reel_id].left_m + ROUNDING_M >= need.total_m:
            return {"mains": reel_id, "crosses": reel_id}
        return named

    def _one_reel(self, need: Need, named: Mapping[str, int]) -> bool:
        if named:
            return len(named) == 2 and len(set(named.values())) == 1
        enough = [reel for reel in self._candidates(need, "mains") if reel.left_m + ROUNDING_M >= need.total_m]
        return bool(enough) or need.pieces == 1

    def _candidates(self, need: Need, part: str) -> list[Left]:
        return self.of(need.string_of(part), need.owner_of(part))

    def _choose(self, need: Need, part: str, named: Mapping[str, int], held: dict[int, float]) -> int | Shortage | None:
        first = "mains" if part == "bed" else part
        metres = need.total_m if part == "bed" else need.metres_of(part)
        candidates = [self.reels[named[first]]] if first in named else self._candidates(need, first)
        if first not in named and self._is_loose(need, first, candidates):
            return None
        for reel in candidates:
            if reel.left_m - held.get(reel.reel_id, 0.0) + ROUNDING_M >= metres:
                held[reel.reel_id] = held.get(reel.reel_id, 0.0) + metres
                return reel.reel_id
        left = [round(reel.left_m - held.get(reel.reel_id, 0.0), 2) for reel in candidates]
        return Shortage(
            string_id=need.string_of(first),
            part="mains and crosses" if part == "bed" else part,
            need_m=metres,
            longest_m=max(left, default=0.0),
            left_m=round(sum(left), 2),
            own=need.is_own(first),
        )

    def _is_loose(self, need: Need, part: str, candidates: list[Left]) -> bool:
        return not candidates if need.is_own(part) else not self.kept

    def _cut(self, need: Need, planned: Iterable[tuple[str, int | None]]) -> list[Cut]:
        planned = list(planned)
        cuts = []
        for number, (part, reel_id) in enumerate(planned):
            metres, offcut = need.metres_of(part), 0.0
            if reel_id is not None:
                reel = self.reels[reel_id]
                reel.left_m = round(reel.left_m - metres, 2)
                is_last = all(other != reel_id for _, other in planned[number + 1 :])
                if reel.kind == "set" and is_last and ROUNDING_M < reel.left_m < OFFCUT_M:
                    offcut, reel.left_m = reel.left_m, 0.0
            cuts.append(Cut(reel_id=reel_id, part=part, metres=metres, offcut_m=offcut))
        return cuts


def load_stock(session: Session, event: Event) -> Stock:
    """Return what is left on the open reels of the event, in one statement.

    A store without a single reel or set of the desk is not kept: then nothing is ever missing.
    """
    left = select(ReelEntry.reel_id, func.sum(ReelEntry.metres).label("metres")).group_by(ReelEntry.reel_id).subquery()
    found = (
        select(Reel.id, Reel.code, Reel.kind, Reel.string_type_id, Reel.owner_id, Reel.withdrawn_at)
        .add_columns(func.coalesce(left.c.metres, 0.0))
        .outerjoin(left, left.c.reel_id == Reel.id)
        .where(Reel.event_id == event.id, Reel.kind != LOOSE)
    )
    stock = Stock(kept=False)
    for reel_id, code, kind, string_id, owner_id, withdrawn_at, left_m in session.execute(found):
        stock.kept = stock.kept or owner_id is None
        if withdrawn_at is None:
            stock.reels[reel_id] = Left(
                reel_id=reel_id,
                code=code,
                kind=kind,
                string_id=string_id,
                owner_id=owner_id,
                left_m=round(left_m, 2) + 0.0,
            )
    return stock
