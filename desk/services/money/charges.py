"""What a player owes for a racquet, and what is paid; a line is never changed once it is written.

Amounts are integer minor units of the event's currency, tax included: `tax_minor` is the part of
the amount that is tax.
"""

from __future__ import annotations

from dataclasses import asdict
from functools import partial
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Charge, Event, Job, Player
from desk.queries.finding import find_of
from desk.queries.money.charge_lines import Line, lines_of
from desk.queries.money.pay_rules import PayersOf
from desk.services.acting import Acting, lock_and_find, lock_event, log_change
from desk.services.form_values import refuse
from desk.services.money.prices import MOST_TAX
from desk.trade.event.money import Money, per_cent_of, tax_within

_log = partial(log_change, subject="charges", plan=False)

MOST_MINOR = 100_000_000
_OF_A_LINE = ("event_id", "player_id", "payer_id", "job_id", "kind", "text", "tax_basis_points", "currency")


def charge_job(session: Session, event: Event, job: Job, *, acting: Acting) -> list[Charge]:
    """Write the charges of a strung racquet by the price list and the rules who pays, after its string is booked.

    A redo costs nothing, own string neither. A racquet that is charged already stays as it is.
    """
    if job.redo_of_id is not None or _charged_minor(session, job) != 0:
        return []
    payers = PayersOf(session, event, job.player_id)
    whose = {"player_id": job.player_id, "job_id": job.id}
    lines = lines_of(session, event, job)
    return [_write(session, event, line, acting, payer_id=payers.of(line.kind), **whose) for line in lines]


def _charged_minor(session: Session, job: Job) -> int:
    return session.scalar(select(func.sum(Charge.amount_minor)).where(Charge.job_id == job.id)) or 0


def _tax(event: Event, amount_minor: int, basis_points: int) -> int:
    return tax_within(Money(amount_minor, event.currency), per_cent_of(basis_points)).tax.minor


def _write(session: Session, event: Event, line: Line, acting: Acting, **whose: int | None) -> Charge:
    """Write a line to the account of WHOSE ids it holds: of a player, a payer, a job."""
    charge = Charge(
        event_id=event.id,
        **asdict(line),
        **whose,
        tax_minor=_tax(event, line.amount_minor, line.tax_basis_points),
        currency=event.currency,
        at=acting.at,
        by=acting.by,
    )
    session.add(charge)
    session.flush()
    return charge


def undo_charge(session: Session, event: Event, job: Job, *, acting: Acting) -> list[Charge]:
    """Take back what a racquet was charged, each line by a new one."""
    lines = session.scalars(select(Charge).where(Charge.job_id == job.id, Charge.corrects_id.is_(None))).all()
    written = []
    for charge in lines:
        amount, tax = standing(session, charge)
        if amount:
            written.append(correction(session, charge, (-amount, -tax), f"Taken back: {charge.text}", acting))
    return written


def correct_charge(
    session: Session, event_id: int, charge_id: int, new_minor: int, *, acting: Acting, reason: str
) -> Charge:
    """Bring a charge to another amount by a new line that says why."""
    event = lock_event(session, event_id)
    charge = first_charge(session, event, charge_id)
    if not 0 <= new_minor <= MOST_MINOR:
        raise BadInput("A charge cannot be below zero.", fields={"amount": "give an amount from 0"})
    if not reason.strip():
        raise BadInput("Say why the charge is corrected.", fields={"reason": "say why"})
    amount, tax = standing(session, charge)
    if new_minor == amount:
        raise Conflict(f"'{charge.text}' stands at that amount already; nothing was changed.")
    change = new_minor - amount
    change_of_tax = _tax(event, new_minor, charge.tax_basis_points) - tax
    text = f"Correction of {charge.text}: {reason.strip()}"
    written = correction(session, charge, (change, change_of_tax), text, acting)
    _log(session, event, acting, f"{text}: {Money(new_minor, event.currency).display()}", job_id=charge.job_id)
    return written


def first_charge(session: Session, event: Event, charge_id: int) -> Charge:
    charge = find_of(session, event, Charge, charge_id, "charge")
    if charge.corrects_id is not None:
        charge = session.get_one(Charge, charge.corrects_id)
    return charge


def standing(session: Session, charge: Charge) -> tuple[int, int]:
    """The amount and the tax of a charge with its corrections."""
    family = (Charge.id == charge.id) | (Charge.corrects_id == charge.id)
    amount, tax = session.execute(select(func.sum(Charge.amount_minor), func.sum(Charge.tax_minor)).where(family)).one()
    return int(amount), int(tax)


def correction(session: Session, charge: Charge, change: tuple[int, int], text: str, acting: Acting) -> Charge:
    """Write a line by which a charge becomes another: a CHANGE of its amount and its tax."""
    amount, tax = change
    return further(session, charge, acting, amount_minor=amount, tax_minor=tax, text=text, corrects_id=charge.id)


def further(session: Session, charge: Charge, acting: Acting, **otherwise: Any) -> Charge:
    """Write a line like an earlier one, but for what is said OTHERWISE."""
    line = Charge(**{name: getattr(charge, name) for name in _OF_A_LINE} | otherwise, at=acting.at, by=acting.by)
    session.add(line)
    session.flush()
    return line


def add_charge(
    session: Session,
    event_id: int,
    player_id: int,
    amount_minor: int,
    *,
    acting: Acting,
    text: str,
    tax_basis_points: int | None = None,
) -> Charge:
    """Charge a player for something that is on no job, such as an overgrip; without a rate, at the event's."""
    event, player = lock_and_find(session, event_id, Player, player_id, "player")
    faults = {}
    if not text.strip():
        faults["text"] = "say what it is for"
    if not 0 < amount_minor <= MOST_MINOR:
        faults["amount"] = "give an amount above 0"
    if tax_basis_points is not None and not 0 <= tax_basis_points <= MOST_TAX:
        faults["tax"] = "per cent from 0 to 100"
    refuse(faults, "This charge cannot be written")
    rate = event.tax_basis_points if tax_basis_points is None else tax_basis_points
    line = Line(kind="other", text=text.strip(), amount_minor=amount_minor, tax_basis_points=rate)
    charge = _write(session, event, line, acting, player_id=player.id)
    _log(session, event, acting, f"{player.called} is charged for {charge.text}")
    return charge
