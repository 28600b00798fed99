"""Payments of players, what is paid back to them, and what is written off; a line once written stays."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Event, Player, Settlement
from desk.queries.money.charges import METHODS, open_minor
from desk.services.acting import Acting, lock_event, note_change, write_log
from desk.services.form_faults import refuse
from desk.services.of_event import find_of
from desk.trade.event.money import Money

SAID = {"payment": "paid", "refund": "was paid back", "write_off": "need not pay"}
NO_METHOD = ""


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
    event, player = _locked(session, event_id, player_id)
    _require(amount_minor, method, "This payment cannot be booked")
    _require_owed(session, event, player, amount_minor)
    return _book(session, event, player, ("payment", amount_minor, method, note.strip()), acting)


def refund(
    session: Session,
    event_id: int,
    player_id: int,
    amount_minor: int,
    *,
    method: str,
    acting: Acting,
    note: str = "",
) -> Settlement:
    """Pay back what a player paid too much, as after a correction; at most that.

    Raises
    ------
    BadInput, Conflict
        As `settle`.
    """
    event, player = _locked(session, event_id, player_id)
    _require(amount_minor, method, "This cannot be paid back")
    too_much = max(-open_minor(session, event, player.id), 0)
    if amount_minor > too_much:
        raise Conflict(
            f"{player.called} paid {Money(too_much, event.currency).display()} too much, not "
            f"{Money(amount_minor, event.currency).display()}; correct the charge first, then pay back."
        )
    return _book(session, event, player, ("refund", -amount_minor, method, note.strip()), acting)


def write_off(
    session: Session, event_id: int, player_id: int, amount_minor: int, *, reason: str, acting: Acting
) -> Settlement:
    """Give up what a player owes, or a part of it, with the reason.

    Raises
    ------
    BadInput
        When the amount cannot be, or no reason is given.
    Conflict
        When the player owes less than that (any more).
    """
    event, player = _locked(session, event_id, player_id)
    faults = {} if amount_minor > 0 else {"amount": "give an amount above 0"}
    if not reason.strip():
        faults["reason"] = "say why"
    refuse(faults, "This cannot be written off")
    _require_owed(session, event, player, amount_minor)
    return _book(session, event, player, ("write_off", amount_minor, NO_METHOD, reason.strip()), acting)


def take_back_settlement(session: Session, event_id: int, settlement_id: int, *, acting: Acting) -> Settlement:
    """Take a line back that was booked by mistake, by a further one of the opposite amount."""
    event = lock_event(session, event_id)
    first = find_of(session, event, Settlement, settlement_id, "payment")
    player = session.get_one(Player, first.player_id)
    again = select(Settlement.id).where(Settlement.takes_back_id == first.id)
    if first.takes_back_id is not None or session.scalar(again) is not None:
        raise Conflict("This line was taken back already.")
    line = (first.kind, -first.amount_minor, first.method, f"payment {first.id} taken back")
    return _book(session, event, player, line, acting, takes_back_id=first.id)


def _locked(session: Session, event_id: int, player_id: int) -> tuple[Event, Player]:
    event = lock_event(session, event_id)
    return event, find_of(session, event, Player, player_id, "player")


def _require(amount_minor: int, method: str, what: str) -> None:
    faults = {}
    if amount_minor <= 0:
        faults["amount"] = "give an amount above 0"
    if method not in METHODS:
        faults["method"] = "choose " + " or ".join(", ".join(METHODS.values()).rsplit(", ", 1))
    refuse(faults, what)


def _require_owed(session: Session, event: Event, player: Player, amount_minor: int) -> None:
    owed = open_minor(session, event, player.id)
    if amount_minor > owed:
        raise Conflict(
            f"{player.called} owes {Money(max(owed, 0), event.currency).display()}, not "
            f"{Money(amount_minor, event.currency).display()}; "
            "look at the account again: it may be paid already."
        )


def _book(
    session: Session,
    event: Event,
    player: Player,
    booked: tuple[str, int, str, str],
    acting: Acting,
    *,
    takes_back_id: int | None = None,
) -> Settlement:
    kind, amount_minor, method, note = booked
    line = Settlement(
        event_id=event.id,
        player_id=player.id,
        amount_minor=amount_minor,
        currency=event.currency,
        kind=kind,
        method=method,
        at=acting.at,
        by=acting.by,
        note=note,
        takes_back_id=takes_back_id,
    )
    session.add(line)
    session.flush()
    amount = Money(abs(amount_minor), event.currency).display()
    how = f" ({METHODS[method]})" if method in METHODS else ""
    back = "Taken back: " if takes_back_id else ""
    write_log(session, event, acting, "charges", f"{back}{player.called} {SAID[kind]} {amount}{how}")
    note_change(event, plan=False)
    return line
