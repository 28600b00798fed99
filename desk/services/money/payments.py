"""Payments of players: cash, card, or taken from their prize money."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Event, Player, Settlement
from desk.queries.money.charges import METHODS, open_minor
from desk.services.acting import Acting, lock_event, note_change, write_log
from desk.services.form_faults import refuse
from desk.services.of_event import find_of
from desk.trade.money import Money


def settle(
    session: Session,
    event_id: int,
    player_id: int,
    amount_minor: int,
    *,
    method: str,
    acting: Acting,
    note: str = "",
) -> Settlement:
    """Book a payment, at most what the player owes.

    Raises
    ------
    BadInput
        When the amount or the method cannot be.
    Conflict
        When the player owes less than that (any more).
    """
    event = lock_event(session, event_id)
    player = find_of(session, event, Player, player_id, "player")
    faults = {}
    if amount_minor <= 0:
        faults["amount"] = "give an amount above 0"
    if method not in METHODS:
        faults["method"] = "choose cash, card or prize money"
    refuse(faults, "This payment cannot be booked")
    owed = open_minor(session, event, player.id)
    if amount_minor > owed:
        raise Conflict(
            f"{player.name} owes {Money(max(owed, 0), event.currency).display()}, not "
            f"{Money(amount_minor, event.currency).display()}; "
            "look at the account again: it may be paid already."
        )
    return _book(session, event, player, (amount_minor, method, note.strip()), acting)


def take_back_settlement(session: Session, event_id: int, settlement_id: int, *, acting: Acting) -> Settlement:
    """Take a payment back by a further line below zero."""
    event = lock_event(session, event_id)
    paid = find_of(session, event, Settlement, settlement_id, "payment")
    note = f"payment {paid.id} taken back"
    player = session.get_one(Player, paid.player_id)
    if paid.amount_minor < 0 or _is_taken_back(session, paid, note):
        raise Conflict("This payment was taken back already.")
    return _book(session, event, player, (-paid.amount_minor, paid.method, note), acting)


def _is_taken_back(session: Session, paid: Settlement, note: str) -> bool:
    found = select(Settlement.id).where(Settlement.player_id == paid.player_id, Settlement.note == note)
    return session.scalar(found) is not None


def _book(session: Session, event: Event, player: Player, paid: tuple[int, str, str], acting: Acting) -> Settlement:
    amount_minor, method, note = paid
    line = Settlement(
        event_id=event.id,
        player_id=player.id,
        amount_minor=amount_minor,
        currency=event.currency,
        method=method,
        at=acting.at,
        by=acting.by,
        note=note,
    )
    session.add(line)
    session.flush()
    word = "paid" if amount_minor > 0 else "was given back"
    how = method.replace("_", " ")
    write_log(
        session,
        event,
        acting,
        "charges",
        f"{player.name} {word} {Money(abs(amount_minor), event.currency).display()} ({how})",
    )
    note_change(event, plan=False)
    return line
