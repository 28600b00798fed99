"""The string store: what came to a reel, went from it or was corrected, each as an entry.

Whenever string comes, the racquets that were held for it and can be strung now go on by themselves.

Strings are listed in `string_list`, new reels come in `new_reels`, racquets take string in `string_use`.
"""

from __future__ import annotations

from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, Reel, ReelEntry
from desk.queries.finding import find_of
from desk.queries.string.store import balances
from desk.services.acting import Acting, lock_event
from desk.services.bench.releasing import release_for_string
from desk.services.string.new_reels import LONGEST_M, MOST_MINOR
from desk.services.string.string_list import log_store
from desk.trade.event.money import Money
from desk.trade.racquet.reel_choice import LOOSE, ROUNDING_M


def receive(session: Session, event_id: int, reel_id: int, metres: float, *, acting: Acting, note: str = "") -> float:
    """Book metres that came to a reel; return what is on it now."""
    if not 0 < metres <= LONGEST_M:
        raise BadInput(f"{metres:g} m cannot be received.", fields={"metres": "give metres above 0"})
    return _enter(session, event_id, reel_id, ("received", metres, note), acting)


def waste(session: Session, event_id: int, reel_id: int, metres: float, *, acting: Acting, note: str = "") -> float:
    """Book metres that were cut off or spoiled; return what is left."""
    if not 0 < metres <= LONGEST_M:
        raise BadInput(f"{metres:g} m cannot be waste.", fields={"metres": "give metres above 0"})
    return _enter(session, event_id, reel_id, ("waste", -metres, note), acting)


def correct_reel(
    session: Session, event_id: int, reel_id: int, measured_m: float, *, acting: Acting, note: str
) -> float:
    """Book what a reel was measured to hold: the difference is an entry; return what is left."""
    if not 0 <= measured_m <= LONGEST_M:
        raise BadInput(f"A reel cannot hold {measured_m:g} m.", fields={"metres": "give metres from 0"})
    if not note.strip():
        raise BadInput("Say why the reel is corrected.", fields={"note": "say why"})
    lock_event(session, event_id)
    left = balances(session, [reel_id])[reel_id]
    return _enter(session, event_id, reel_id, ("correction", measured_m - left, note), acting)


def write_off(session: Session, event_id: int, reel_id: int, *, acting: Acting, note: str) -> Reel:
    """Book all that is left of a dropped, tangled or lost reel as waste and take it out of the store."""
    event = lock_event(session, event_id)
    reel = _open_reel(session, event, reel_id)
    if not note.strip():
        raise BadInput("Say what happened to the reel.", fields={"note": "say what happened"})
    left = balances(session, [reel.id])[reel.id]
    if left > ROUNDING_M:
        _enter(session, event_id, reel_id, ("waste", -left, note), acting)
    reel.withdrawn_at = acting.at
    return reel


def withdraw(session: Session, event_id: int, reel_id: int, *, acting: Acting, note: str = "") -> Reel:
    """Take a reel out of the store with what is on it: given back, or kept for later."""
    event = lock_event(session, event_id)
    reel = _open_reel(session, event, reel_id)
    reel.withdrawn_at = acting.at
    log_store(session, event, acting, f"Reel {reel.code} withdrawn{': ' + note.strip() if note.strip() else ''}")
    return reel


def put_back(session: Session, event_id: int, reel_id: int, *, acting: Acting) -> Reel:
    """Put a withdrawn reel back into the store."""
    event = lock_event(session, event_id)
    reel = _reel(session, event, reel_id)
    if reel.withdrawn_at is None:
        raise Conflict(f"Reel {reel.code} is in the store already.")
    reel.withdrawn_at = None
    log_store(session, event, acting, f"Reel {reel.code} put back into the store")
    session.flush()
    release_for_string(session, event, {reel.string_type_id}, acting=acting)
    return reel


def place_reel(session: Session, event_id: int, reel_id: int, place: str, *, acting: Acting) -> Reel:
    """Note where a reel lies."""
    event = lock_event(session, event_id)
    reel = _reel(session, event, reel_id)
    reel.place = place.strip()
    log_store(session, event, acting, f"Reel {reel.code} lies at {reel.place or 'no named place'}")
    return reel


def price_reel(session: Session, event_id: int, reel_id: int, price_minor: int | None, *, acting: Acting) -> Reel:
    """Note what a reel cost, for the metres that stood on it first; None takes the price away."""
    event = lock_event(session, event_id)
    reel = _reel(session, event, reel_id)
    if price_minor is not None and not 0 <= price_minor <= MOST_MINOR:
        raise BadInput("A reel cannot cost that.", fields={"price": "give an amount from 0"})
    if price_minor != reel.price_minor:
        reel.price_minor = price_minor
        said = "is not known" if price_minor is None else f"was {Money(price_minor, event.currency).display()}"
        log_store(session, event, acting, f"What reel {reel.code} cost {said}")
    return reel


def _enter(session: Session, event_id: int, reel_id: int, entry: tuple[str, float, str], acting: Acting) -> float:
    kind, metres, note = entry
    event = lock_event(session, event_id)
    reel = _open_reel(session, event, reel_id)
    left, change = balances(session, [reel.id])[reel.id], round(metres, 2)
    if left + change < -ROUNDING_M:
        raise Conflict(
            f"Reel {reel.code} has {left:g} m left, so {-change:g} m cannot go from it. "
            "Measure what is left and enter a correction first."
        )
    session.add(ReelEntry(reel_id=reel.id, at=acting.at, by=acting.by, kind=kind, metres=change, note=note.strip()))
    left = round(left + change, 2) + 0.0
    log_store(session, event, acting, f"Reel {reel.code}: {kind} {change:+g} m, {left:g} m left")
    if change > 0:
        release_for_string(session, event, {reel.string_type_id}, acting=acting)
    return left


def _reel(session: Session, event: Event, reel_id: int) -> Reel:
    reel = find_of(session, event, Reel, reel_id, "reel")
    if reel.kind == LOOSE:
        raise BadInput(f"Reel {reel.code} is not in this desk's store; choose one from there.")
    return reel


def _open_reel(session: Session, event: Event, reel_id: int) -> Reel:
    reel = _reel(session, event, reel_id)
    if reel.withdrawn_at is not None:
        raise Conflict(f"Reel {reel.code} is withdrawn from the store; put it back first.")
    return reel
