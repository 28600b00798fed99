"""What reels and sets cost, and what a part of one is worth by that."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Reel, ReelEntry


@dataclass(frozen=True)
class Bought:
    """A reel or set as it was bought: so many metres for a price in minor units."""

    metres: float
    price_minor: int

    def worth(self, metres: float) -> Decimal:
        """What so many metres of it cost, in minor units, not rounded; what came to it later counts alike."""
        return Decimal(self.price_minor) * Decimal(str(metres)) / Decimal(str(self.metres))


def bought_reels(session: Session, event: Event) -> Mapping[int, Bought]:
    """Return the reels and sets of an event whose price is known, by their id."""
    priced = (Reel.event_id == event.id) & Reel.price_minor.is_not(None)
    first = select(func.min(ReelEntry.id)).join(Reel).where(priced).group_by(ReelEntry.reel_id)
    found = select(Reel.id, ReelEntry.metres, Reel.price_minor).join(ReelEntry, ReelEntry.reel_id == Reel.id)
    found = found.where(priced, ReelEntry.id.in_(first), ReelEntry.metres > 0)
    return {reel_id: Bought(metres, minor) for reel_id, metres, minor in session.execute(found)}


def worth_of(parts: Iterable[tuple[Bought | None, float]]) -> int | None:
    """Add up what metres of several reels cost, in minor units; None where the price of one is not known."""
    total = Decimal(0)
    for bought, metres in parts:
        if bought is None:
            return None
        total += bought.worth(metres)
    return _minor(total)


def cost_of(reel: Reel, metres: float) -> int | None:
    """What so many metres of a reel cost, in minor units; None where its price is not known."""
    first = reel.entries[0].metres if reel.entries else 0.0
    return None if reel.price_minor is None or first <= 0 else _minor(Bought(first, reel.price_minor).worth(metres))


def _minor(amount: Decimal) -> int:
    return int(amount.quantize(Decimal(1), ROUND_HALF_EVEN))
