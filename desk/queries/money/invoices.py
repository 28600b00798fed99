"""Invoices to show, and charges that stand on none yet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Charge, Event, Invoice, InvoiceLine, Job, Player
from desk.trade.event.money import per_cent_of


@dataclass(frozen=True, kw_only=True)
class TaxTotal:
    """What stands at one rate of tax: net and tax make gross; the rate in hundredths of a per cent."""

    basis_points: int
    gross_minor: int
    tax_minor: int

    @property
    def net_minor(self) -> int:
        return self.gross_minor - self.tax_minor

    @property
    def per_cent(self) -> Decimal:
        return per_cent_of(self.basis_points)


def tax_totals(charges: Iterable[Charge]) -> tuple[TaxTotal, ...]:
    """The charges added up by rate, the highest rate first."""
    gross: dict[int, int] = defaultdict(int)
    tax: dict[int, int] = defaultdict(int)
    for charge in charges:
        gross[charge.tax_basis_points] += charge.amount_minor
        tax[charge.tax_basis_points] += charge.tax_minor
    return tuple(
        TaxTotal(basis_points=rate, gross_minor=gross[rate], tax_minor=tax[rate])
        for rate in sorted(gross, reverse=True)
    )


@dataclass(frozen=True, kw_only=True)
class InvoiceRow:
    """One invoice in a list; the amount is gross, in minor units."""

    invoice_id: int
    number: int
    at: datetime
    by: str
    player_id: int
    player: str
    payer: str
    gross_minor: int
    tax_minor: int


@dataclass(frozen=True, kw_only=True)
class InvoiceView:
    """An invoice as it is printed: each line with the tag of its racquet, and the sums by rate."""

    number: int
    name: str
    at: datetime
    issuer: str
    payer: str
    player: str
    player_id: int
    lines: tuple[tuple[Charge, str], ...]

    @property
    def totals(self) -> tuple[TaxTotal, ...]:
        return tax_totals(charge for charge, _ in self.lines)

    @property
    def gross_minor(self) -> int:
        return sum(charge.amount_minor for charge, _ in self.lines)


def charges_to_invoice(session: Session, event: Event, player_id: int) -> Sequence[Charge]:
    """Return the charges of a player that stand on no invoice yet, in their order."""
    found = (
        select(Charge)
        .outerjoin(InvoiceLine, InvoiceLine.charge_id == Charge.id)
        .where(Charge.event_id == event.id, Charge.player_id == player_id, InvoiceLine.id.is_(None))
        .order_by(Charge.id)
    )
    return session.scalars(found).all()


def invoice_name(event: Event, number: int) -> str:
    """The number as it stands on paper: harbour-week-0007."""
    return f"{event.slug}-{number:04}"


def invoice_rows(session: Session, event: Event, *, player_id: int | None = None) -> list[InvoiceRow]:
    """Return the invoices of an event, or of one of its players, by number."""
    found = (
        select(Invoice, Player.called, func.sum(Charge.amount_minor), func.sum(Charge.tax_minor))
        .join(Player, Player.id == Invoice.player_id)
        .join(InvoiceLine, InvoiceLine.invoice_id == Invoice.id)
        .join(Charge, Charge.id == InvoiceLine.charge_id)
        .where(Invoice.event_id == event.id)
        .group_by(Invoice, Player.id)
        .order_by(Invoice.number)
    )
    if player_id is not None:
        found = found.where(Invoice.player_id == player_id)
    return [
        InvoiceRow(
            invoice_id=one.id,
            number=one.number,
            at=one.at,
            by=one.by,
            player_id=one.player_id,
            player=player,
            payer=one.payer,
            gross_minor=int(gross),
            tax_minor=int(tax),
        )
        for one, player, gross, tax in session.execute(found)
    ]


def invoice_view(session: Session, event: Event, number: int) -> InvoiceView | None:
    """Return the invoice of this number with its lines."""
    invoice = session.scalar(select(Invoice).where(Invoice.event_id == event.id, Invoice.number == number))
    if invoice is None:
        return None
    lines = (
        select(Charge, Job.code)
        .join(InvoiceLine, InvoiceLine.charge_id == Charge.id)
        .outerjoin(Job, Job.id == Charge.job_id)
        .where(InvoiceLine.invoice_id == invoice.id)
        .order_by(Charge.id)
    )
    return InvoiceView(
        number=invoice.number,
        name=invoice_name(event, invoice.number),
        at=invoice.at,
        issuer=invoice.issuer,
        payer=invoice.payer,
        player=invoice.player.called,
        player_id=invoice.player_id,
        lines=tuple((charge, code or "") for charge, code in session.execute(lines)),
    )
