"""Invoices: what an account was charged and stands on none yet, under the next number."""

from __future__ import annotations

from dataclasses import asdict

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Event, Invoice, InvoiceLine
from desk.queries.money.holders import Holder
from desk.queries.money.invoices import charges_to_invoice
from desk.services.acting import Acting, lock_event, log_change
from desk.services.form_values import refuse
from desk.services.money.payments import holder_of

LONGEST_PAYER = 400


def make_invoice(session: Session, event_id: int, holder: Holder, *, payer: str, acting: Acting) -> Invoice:
    """Put every charge of an account that stands on no invoice yet on a new one: over all players that it pays for.

    The event is locked while its number is taken, so that numbers have no gaps and none stands twice. Refused without
    a payer, or when there is nothing to put on it.
    """
    event = lock_event(session, event_id)
    who = holder_of(session, event, holder)
    text = "\n".join(line.strip() for line in payer.splitlines() if line.strip())
    refuse({} if 0 < len(text) <= LONGEST_PAYER else {"payer": "say who pays"}, "This invoice cannot be made")
    charge_ids = [charge.id for charge in charges_to_invoice(session, event, holder)]
    if not charge_ids:
        raise Conflict(f"Every charge of {who.called} stands on an invoice already.")
    invoice = Invoice(
        event_id=event.id,
        **asdict(holder),
        number=_next_number(session, event),
        issuer=event.issuer,
        payer=text,
        at=acting.at,
        by=acting.by,
    )
    session.add(invoice)
    session.flush()
    session.add_all(InvoiceLine(invoice_id=invoice.id, charge_id=charge_id) for charge_id in charge_ids)
    log_change(session, event, acting, f"Invoice {invoice.number} made for {who.called}", subject="charges", plan=False)
    return invoice


def _next_number(session: Session, event: Event) -> int:
    last = session.scalar(select(func.max(Invoice.number)).where(Invoice.event_id == event.id))
    return (last or 0) + 1
