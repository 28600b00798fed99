"""String that is missing, found before a racquet is promised."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy.orm import Session

from desk.models import Event, Frame, StringType
from desk.queries.string.foresight import open_needs
from desk.queries.string.lengths import CardLike, event_factors, need_of
from desk.queries.string.store import load_stock, string_label
from desk.trade.racquet.reel_choice import MISSING, ROUNDING_M, Shortage

NO_PLAYER = 0


def string_missing(
    session: Session,
    event: Event,
    asked: Sequence[tuple[CardLike, Frame]],
    *,
    player_id: int = NO_PLAYER,
) -> list[str | None]:
    """Return for each racquet asked for why it cannot be strung, or None; nothing is booked.

    What waits already is cut first, in the order of the plan, then the racquets asked for, one
    after the other. A player's own string is missing only when it is kept on a reel that runs out.
    """
    stock, factors = load_stock(session, event), event_factors(session, event)
    strings = set().union(*(card.bed.string_ids for card, _ in asked))
    for waiting in open_needs(session, event, factors, of_strings=strings):
        stock.take(waiting.need)
    reasons: list[str | None] = []
    for card, frame in asked:
        found = stock.take(need_of(card, frame, player_id=player_id, factors=factors))
        reasons.append(_missing(session, found) if isinstance(found, Shortage) else None)
    return reasons


def _missing(session: Session, short: Shortage) -> str:
    string = string_label(session.get_one(StringType, short.string_id))
    whose = "the player's own reels" if short.own else "the desk's reels"
    if short.left_m <= ROUNDING_M:
        left = f"none is left on {whose}"
    else:
        left = f"{short.longest_m:g} m is the longest piece left on {whose}"
    return (
        f"{MISSING}the {short.part} need {short.need_m:g} m of {string}, and after the racquets that wait "
        f"{left}. Receive string or choose another."
    )
