"""Invoices to show, and charges that stand on none yet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Charge, Contact, Event, Invoice, InvoiceLine, Job, Player
from desk.queries.money.holders import Holder
from desk.queries.row_making import grouped, row_of
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
    return by_rate((one.tax_basis_points, one.amount_minor, one.tax_minor) for one in charges)[::-1]


def by_rate(amounts: Iterable[tuple[int, int, int]]) -> tuple[TaxTotal, ...]:
    """Add up (rate, gross, tax) by rate, the lowest rate first."""
    rates = grouped((rate, (gross, tax)) for rate, gross, tax in amounts)
    return tuple(
        TaxTotal(basis_points=rate, gross_minor=sum(gross for gross, _ in of), tax_minor=sum(tax for _, tax in of))
        for rate, of in sorted(rates.items())
    )


@dataclass(frozen=True, kw_only=True)
class InvoiceRow:
    """One invoice in a list, with the player, or the contact that pays; the amount is gross, in minor units."""

    invoice_id: int
    number: int
    at: datetime
    by: str
    holder: Holder
    player: str
    payer: str
    gross_minor: int
    tax_minor: int


@dataclass(frozen=True, kw_only=True)
class InvoiceView:
    """An invoice as it is printed: each line with the tag of its racquet and its player, and the sums by rate."""

    number: int
    name: str
    at: datetime
    issuer: str
    payer: str
    holder: Holder
    lines: tuple[tuple[Charge, str, str], ...]

    @property
    def totals(self) -> tuple[TaxTotal, ...]:
        return tax_totals(charge for charge, _, _ in self.lines)

    @property
    def gross_minor(self) -> int:
        return sum(charge.amount_minor for charge, _, _ in self.lines)

    @property
    def by_player(self) -> tuple[tuple[str, int], ...]:
        """Each player with the sum of their lines, gross, in the order of the names."""
        sums: dict[str, int] = defaultdict(int)
        for charge, _, player in self.lines:
            sums[player] += charge.amount_minor
        return tuple(sorted(sums.items()))


def charges_to_invoice(session: Session, event: Event, holder: Holder) -> Sequence[Charge]:
    """Return the charges of an account that stand on no invoice yet, in their order.

    A charge that came to nothing before it stood on any, such as one that another payer took over, is left out.
    """
    found = (
        select(Charge, InvoiceLine.id)
        .outerjoin(InvoiceLine, InvoiceLine.charge_id == Charge.id)
        .where(Charge.event_id == event.id, holder.holds(Charge))
        .order_by(Charge.id)
    )
    rows = session.execute(found).all()
    sums: dict[int, int] = defaultdict(int)
    for charge, _ in rows:
        sums[charge.corrects_id or charge.id] += charge.amount_minor
    invoiced = {charge.corrects_id or charge.id for charge, line_id in rows if line_id is not None}
    worth = {first for first, minor in sums.items() if minor or first in invoiced}
    return [charge for charge, line_id in rows if line_id is None and (charge.corrects_id or charge.id) in worth]


def invoice_name(event: Event, number: int) -> str:
    """The number as it stands on paper: harbour-week-0007."""
    return f"{event.slug}-{number:04}"


def invoice_rows(session: Session, event: Event, *, holder: Holder | None = None) -> list[InvoiceRow]:
    """Return the invoices of an event, or of one account, by number."""
    name = func.coalesce(Player.called, Contact.name)
    found = (
        select(Invoice, name, func.sum(Charge.amount_minor), func.sum(Charge.tax_minor))
        .outerjoin(Player, Player.id == Invoice.player_id)
        .outerjoin(Contact, Contact.id == Invoice.payer_id)
        .join(InvoiceLine, InvoiceLine.invoice_id == Invoice.id)
        .join(Charge, Charge.id == InvoiceLine.charge_id)
        .where(Invoice.event_id == event.id)
        .group_by(Invoice, Player.id, Contact.id)
        .order_by(Invoice.number)
    )
    if holder is not None:
        found = found.where(holder.holds(Invoice))
    return [
        row_of(
            InvoiceRow,
            one,
            invoice_id=one.id,
            holder=row_of(Holder, one),
            player=player,
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
        select(Charge, Job.code, Player.called)
        .join(InvoiceLine, InvoiceLine.charge_id == Charge.id)
        .join(Player, Player.id == Charge.player_id)
        .outerjoin(Job, Job.id == Charge.job_id)
        .where(InvoiceLine.invoice_id == invoice.id)
        .order_by(*([Player.search_name] if invoice.payer_id else []), Charge.id)
    )
    return row_of(
        InvoiceView,
        invoice,
        name=invoice_name(event, invoice.number),
        holder=row_of(Holder, invoice),
        lines=tuple((charge, code or "", player) for charge, code, player in session.execute(lines)),
    )
