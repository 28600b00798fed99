"""Payments of players and other payers, what is paid back, what is written off; a line once written stays."""

from __future__ import annotations

from dataclasses import asdict

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Contact, Event, Player, Settlement
from desk.queries.finding import find_of
from desk.queries.money.charges import METHODS
from desk.queries.money.holders import Holder, open_of
from desk.services.acting import Acting, lock_and_find, lock_event, log_change
from desk.services.form_values import refuse
from desk.trade.event.money import Money

SAID = {"payment": "paid", "refund": "was paid back", "write_off": "need not pay"}
NO_METHOD = ""


def settle(
    session: Session,
    event_id: int,
    holder: Holder,
    amount_minor: int,
    *,
    method: str,
    acting: Acting,
    note: str = "",
) -> Settlement:
    """Book a payment to an account, at most what is owed on it; refused when less than that is owed (any more)."""
    event, who = _locked(session, event_id, holder)
    _require(amount_minor, method, "This payment cannot be booked")
    _require_owed(session, event, who, amount_minor)
    return _book(session, event, who, ("payment", amount_minor, method, note.strip()), acting)


def refund(
    session: Session,
    event_id: int,
    holder: Holder,
    amount_minor: int,
    *,
    method: str,
    acting: Acting,
    note: str = "",
) -> Settlement:
    """Pay back what was paid too much, as after a correction; at most that."""
    event, who = _locked(session, event_id, holder)
    _require(amount_minor, method, "This cannot be paid back")
    too_much = max(-open_of(session, event, holder), 0)
    if amount_minor > too_much:
        raise Conflict(
            f"{who.called} paid {Money(too_much, event.currency).display()} too much, not "
            f"{Money(amount_minor, event.currency).display()}; correct the charge first, then pay back."
        )
    return _book(session, event, who, ("refund", -amount_minor, method, note.strip()), acting)


def write_off(
    session: Session, event_id: int, holder: Holder, amount_minor: int, *, reason: str, acting: Acting
) -> Settlement:
    """Give up what is owed, or a part of it, with the reason.

    Refused without a reason, or when less than that is owed (any more).
    """
    event, who = _locked(session, event_id, holder)
    faults = {} if amount_minor > 0 else {"amount": "give an amount above 0"}
    if not reason.strip():
        faults["reason"] = "say why"
    refuse(faults, "This cannot be written off")
    _require_owed(session, event, who, amount_minor)
    return _book(session, event, who, ("write_off", amount_minor, NO_METHOD, reason.strip()), acting)


def take_back_settlement(session: Session, event_id: int, settlement_id: int, *, acting: Acting) -> Settlement:
    """Take a line back that was booked by mistake, by a further one of the opposite amount."""
    event, first = lock_and_find(session, event_id, Settlement, settlement_id, "payment")
    table, owner_id = (Contact, first.payer_id) if first.payer_id is not None else (Player, first.player_id)
    who = find_of(session, event, table, owner_id, "account")
    again = select(Settlement.id).where(Settlement.takes_back_id == first.id)
    if first.takes_back_id is not None or session.scalar(again) is not None:
        raise Conflict("This line was taken back already.")
    line = (first.kind, -first.amount_minor, first.method, f"payment {first.id} taken back")
    return _book(session, event, who, line, acting, takes_back_id=first.id)


def _locked(session: Session, event_id: int, holder: Holder) -> tuple[Event, Player | Contact]:
    event = lock_event(session, event_id)
    return event, holder_of(session, event, holder)


def holder_of(session: Session, event: Event, holder: Holder) -> Player | Contact:
    """Return the player or the contact whose account it is."""
    if holder.payer_id is not None:
        return find_of(session, event, Contact, holder.payer_id, "payer")
    return find_of(session, event, Player, holder.player_id or 0, "player")


def _require(amount_minor: int, method: str, what: str) -> None:
    faults = {}
    if amount_minor <= 0:
        faults["amount"] = "give an amount above 0"
    if method not in METHODS:
        faults["method"] = "choose " + " or ".join(", ".join(METHODS.values()).rsplit(", ", 1))
    refuse(faults, what)


def _require_owed(session: Session, event: Event, who: Player | Contact, amount_minor: int) -> None:
    owed = open_of(session, event, Holder.of(who))
    if amount_minor > owed:
        raise Conflict(
            f"{who.called} owes {Money(max(owed, 0), event.currency).display()}, not "
            f"{Money(amount_minor, event.currency).display()}; "
            "look at the account again: it may be paid already."
        )


def _book(
    session: Session,
    event: Event,
    who: Player | Contact,
    booked: tuple[str, int, str, str],
    acting: Acting,
    *,
    takes_back_id: int | None = None,
) -> Settlement:
    kind, amount_minor, method, note = booked
    line = Settlement(
        event_id=event.id,
        **asdict(Holder.of(who)),
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
    log_change(session, event, acting, f"{back}{who.called} {SAID[kind]} {amount}{how}", subject="charges", plan=False)
    return line
